package e2e_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// formPage is a page of the console with forms, and the buttons that open them. W is
// a wearer, E one whose wear ended, F a family.
type formPage struct {
	role, at string
	open     []string
}

func formPages() []formPage {
	return []formPage{
		{"clinician", "family", nil},
		{"clinician", "family/F", []string{"change-family", "add-wearer", "change-wearer", "add-parent", "change-person", "authority"}},
		{"clinician", "plan/W", nil},
		{"clinician", "visits/W", []string{"visit-new"}},
		{"clinician", "course/W", []string{"lens-new", "event-new", "end-open"}},
		{"clinician", "course/E", []string{"start-over"}},
		{"clinician", "wearer/W", []string{"say-open"}},
		{"clinician", "suitability/W", nil},
		{"clinician", "duties", nil},
		{"administrator", "settings", nil},
		{"administrator", "staff", []string{"change-staff"}},
		{"administrator", "privacy", []string{"breach-new"}},
	}
}

// watchJS notes every refusal of the server, and how many requests are under way.
const watchJS = `(() => {
	const real = globalThis.fetch;
	globalThis.refused = [];
	globalThis.asking = 0;
	globalThis.fetch = async (url, init) => {
		globalThis.asking++;
		try {
			const answer = await real(url, init);
			if (!answer.ok && init?.method !== 'GET') globalThis.refused.push((await answer.clone().json()).error);
			return answer;
		} finally {
			setTimeout(() => globalThis.asking--);
		}
	};
	return true;
})()`

// sendJS empties the n-th form of the page, or fills its texts with what nobody
// means and its dates with a far one, sends it past the browser's own checks, and
// says what is wrong with how its faults are told.
const sendJS = `async (n, wrong, english) => {
	const frame = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
	const form = document.querySelectorAll('main form')[n];
	form.noValidate = true;
	globalThis.refused.length = 0;
	for (const el of form.querySelectorAll('input, textarea')) {
		if (el.matches(':disabled, [data-number], [type=checkbox], [type=radio], [type=file]')) continue;
		const value = !wrong ? '' : el.type === 'date' ? '2999-12-31' : ['time', 'color'].includes(el.type) ? el.value : 'x'.repeat(el.maxLength > 0 ? el.maxLength - 1 : 5000) + '\u200b';
		Object.getOwnPropertyDescriptor(Object.getPrototypeOf(el), 'value').set.call(el, value);
		el.dispatchEvent(new Event('input', { bubbles: true }));
		el.dispatchEvent(new Event('change', { bubbles: true }));
	}
	await frame();
	form.requestSubmit();
	do await frame(); while (globalThis.asking > 0);
	await frame();
	const out = [], by = form.dataset.test ?? form.className;
	const told = [...document.querySelectorAll('main [role=alert], main .field-error, main .trouble')].map((el) => el.textContent.trim()).filter(Boolean);
	for (const words of told) {
		const code = /(?<![\w@.])[a-z]+(?:[_.][a-z]+)+(?![\w@])/.exec(words);
		if (code) out.push('a code of a field: ' + words.slice(0, 200));
		const bare = words.replace(/x{3,}|\b(IANA|Europe|Lisbon|Berlin|PDF|PNG|JPEG|ISO|HH:MM|YYYY-MM-DD)\b/g, '');
		if (!english && /[A-Za-z]{3,}/.test(bare)) out.push('English: ' + words.slice(0, 200));
	}
	for (const { code, field, message } of globalThis.refused) {
		if (!told.length) out.push('said nowhere: ' + message);
		else if (field && code !== 'unlikely' && !document.querySelector('main [aria-invalid=true]')) out.push('stands at no field: ' + field + ': ' + message.slice(0, 200));
	}
	return out.map((line) => by + ': ' + line);
}`

// Every form of the console, sent empty and sent with what cannot be: whatever the
// server refuses is told on the page, at the field it is about, without a code, and
// in the language of the console.
func TestFormsSayWhatIsWrong(t *testing.T) {
	t.Parallel()
	for _, lang := range []string{"en", "zh", "ar"} {
		t.Run(lang, func(t *testing.T) {
			t.Parallel()
			tr := startTour(t, "en")
			speaking(t, tr, lang)
			desktop(t, tr.tab)
			c := clinician(t, tr.a)
			ids := strings.NewReplacer("W", wearerID(t, c, tr.a, "W-0010"), "E", endedWear(t, c, tr.a), "F", "family-Petrov")
			role, sent := "", 0
			for _, p := range formPages() {
				if p.role != role {
					role = p.role
					run(t, tr.tab, chromedp.Navigate(tr.a.URL()+"/demo/"+role), chromedp.WaitVisible(chromedp.CSS("main h1")))
					tr.eval(watchJS)
				}
				for n, more := 0, true; more; n++ {
					for _, wrong := range []bool{false, true} {
						forms := tr.opened(ids.Replace(p.at), p.open)
						if more = n < forms; !more {
							break
						}
						sent++
						found, err := ask[[]string](tr.tab, fmt.Sprintf("(%s)(%d, %t, %t)", sendJS, n, wrong, lang == "en"))
						for _, line := range found {
							t.Errorf("%s %s, wrong %t: %s", role, p.at, wrong, line)
						}
						if err != nil {
							t.Errorf("%s %s, form %d: %v", role, p.at, n, err)
						}
					}
				}
			}
			if sent < 30 {
				t.Errorf("only %d forms were sent", sent)
			}
		})
	}
}

// opened opens a page anew with all its forms, and says how many there are.
func (tr *tour) opened(at string, open []string) int {
	tr.t.Helper()
	for _, to := range []string{"rules", at} {
		tr.eval("location.hash = '#" + to + "'")
		still := chromedp.PollFunction[bool](quietJS, chromedp.WithPollingArgs(to), chromedp.WithPollingTimeout(patience))
		if _, err := chromedp.Run(tr.tab, still); err != nil {
			tr.t.Fatalf("%s: %v", to, err)
		}
	}
	marks, _ := json.Marshal(append([]string{}, open...))
	n, err := ask[int](tr.tab, `(async (marks) => {
		for (const m of marks) {
			document.querySelector('main [data-test="' + m + '"]')?.click();
			await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
		}
		return document.querySelectorAll('main form').length;
	})(`+string(marks)+`)`)
	if err != nil {
		tr.t.Fatal(err)
	}
	return n
}

// speaking lets everybody of the staff have chosen a language.
func speaking(t *testing.T, tr *tour, lang string) {
	t.Helper()
	err := tr.a.DB.Update(func(tx *store.Tx) error {
		staff, err := tx.Register().Staff()
		for _, p := range staff {
			if err == nil {
				err = tx.Register().ChangePerson(p.ID, func(p *care.Person) { p.Language = lang })
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// dateJS puts a date that nobody means into the n-th date field of the page and sends
// its form as a person would: it says what became of it.
const dateJS = `async (n) => {
	const frame = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
	const el = [...document.querySelectorAll('main form input[type=date]:enabled')][n];
	const name = (el.closest('label')?.innerText ?? el.getAttribute('aria-label') ?? '').split('\n')[0];
	globalThis.refused.length = 0;
	Object.getOwnPropertyDescriptor(Object.getPrototypeOf(el), 'value').set.call(el, '2999-12-31');
	el.dispatchEvent(new Event('input', { bubbles: true }));
	el.dispatchEvent(new Event('change', { bubbles: true }));
	await frame();
	if (!el.isConnected || !el.validity.valid) return '';
	el.form.noValidate = true; // of other fields
	el.form.requestSubmit();
	await frame();
	document.querySelector('main [data-test=plan-yes]')?.click(); // a plan is looked at once more
	do await frame(); while (globalThis.asking > 0);
	await frame();
	const told = [...document.querySelectorAll('main [role=alert], main .field-error, main [data-test=unlikely]')].map((e) => e.textContent.trim()).join('');
	return told ? '' : 'taken without a word: ' + name;
}`

// No date field of the console takes the year 2999 without a word: its field has an
// end, or the server refuses it or asks.
func TestNoDateFieldTakesAnyDate(t *testing.T) {
	t.Parallel()
	tr := startTour(t, "en")
	desktop(t, tr.tab)
	c := clinician(t, tr.a)
	ids := strings.NewReplacer("W", wearerID(t, c, tr.a, "W-0010"), "E", endedWear(t, c, tr.a), "F", "family-Petrov")
	role, dates := "", 0
	for _, p := range formPages() {
		if p.at == "settings" {
			continue // its dates go into lists, and stand there to be read
		}
		if p.role != role {
			role = p.role
			run(t, tr.tab, chromedp.Navigate(tr.a.URL()+"/demo/"+role), chromedp.WaitVisible(chromedp.CSS("main h1")))
			tr.eval(watchJS)
		}
		for n := 0; ; n++ {
			tr.opened(ids.Replace(p.at), p.open)
			if has, err := ask[int](tr.tab, `document.querySelectorAll('main form input[type=date]:enabled').length`); err != nil || n >= has {
				break
			}
			dates++
			if said, err := ask[string](tr.tab, fmt.Sprintf("(%s)(%d)", dateJS, n)); err != nil || said != "" {
				t.Errorf("%s %s: %s %v", role, p.at, said, err)
			}
		}
	}
	if dates < 12 {
		t.Errorf("only %d date fields were found", dates)
	}
}

// wantedJS sends a form of required fields empty, then fills the first, and says how
// each is told: the words at the field, which field has the focus, what the filled one
// still says.
const wantedJS = `async () => {
	const form = document.querySelector('[data-test=add-family]');
	const fields = [...form.querySelectorAll(':required')];
	for (const el of fields) {
		Object.getOwnPropertyDescriptor(Object.getPrototypeOf(el), 'value').set.call(el, '');
		el.dispatchEvent(new Event('input', { bubbles: true }));
	}
	await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
	const empty = fields.filter((el) => !el.validity.valid);
	form.requestSubmit();
	await new Promise((done) => setTimeout(done));
	const told = (el) => el.getAttribute('aria-describedby')?.split(' ').map((id) => document.getElementById(id)).find((n) => n?.dataset.test === 'wanted')?.textContent ?? '';
	const out = [...new Set(empty.map(told))];
	if (document.activeElement !== empty[0]) out.push('the focus is elsewhere');
	Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value').set.call(empty[0], 'Marlowe');
	empty[0].dispatchEvent(new Event('input', { bubbles: true }));
	if (told(empty[0]) || empty[0].getAttribute('aria-invalid')) out.push('it goes on after it was filled in');
	return [String(empty.length), ...out];
}`

// What a form wants stands at the field in the language of the console, whatever the
// browser speaks, with the focus on the first; it goes once the field is filled in.
func TestAFormSaysWhatItWantsInItsLanguage(t *testing.T) {
	t.Parallel()
	for lang, empty := range map[string]string{"en": "This cannot be empty.", "es": "Esto no puede quedar vacío.", "zh": "此项不能为空。", "ar": "لا يمكن ترك هذا فارغًا."} {
		t.Run(lang, func(t *testing.T) {
			t.Parallel()
			tr := startTour(t, "en")
			speaking(t, tr, lang)
			desktop(t, tr.tab)
			run(t, tr.tab, chromedp.Navigate(tr.a.URL()+"/demo/clinician"), chromedp.WaitVisible(chromedp.CSS("main h1")))
			tr.eval(`location.hash = "#family"`)
			run(t, tr.tab, chromedp.WaitVisible(sel("add-family")))
			got, err := ask[[]string](tr.tab, "("+wantedJS+")()")
			if want := []string{"6", empty}; err != nil || !slices.Equal(got, want) {
				t.Errorf("%q %v; want %q", got, err, want)
			}
			newAudit(t, tr.tab).expect("a form that wants", lang, newAudit(t, tr.tab).violations(wcag))
			shot(t, tr.tab, "form-wants-"+lang)
			// Sent by a person's own press: read out once, each field by its label, and the first has the focus.
			if lang == "en" {
				run(t, tr.tab, chromedp.Reload(), chromedp.WaitVisible(sel("add-family")), tap("add-family-send"), seeIn(css("live"), "Telephone: This cannot be empty."))
				said, err := ask[[]string](tr.tab, `[document.querySelector('`+css("live")+`').textContent, document.activeElement.closest('label').textContent]`)
				if err != nil || !strings.HasPrefix(said[0], "Name of the family: This cannot be empty. Who wears lenses: This cannot be empty.") || !strings.HasPrefix(said[1], "Name of the family") {
					t.Errorf("read out: %q %v", said, err)
				}
			}
			sound(t, tr.tab)
		})
	}
}
