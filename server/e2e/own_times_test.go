package e2e_test

import (
	"regexp"
	"testing"

	"github.com/chromedp/chromedp"
)

// A family sets its own times within the plan: one outside it is refused at its
// field with what is accepted, one within it stands on the first screen at once;
// Fridays and holidays have others; quiet hours are the family's too. The practice lets parents invite: the second
// joins, leaves the lens case to her, and his phone gets a name. The demo's plan
// has wear from an hour before 21:30 on.
func TestAFamilySetsItsOwnReminders(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/reminders"), ready(), chromedp.WaitVisible(sel("own-times")))
	// The field that is wrong says so by its name, and no other; Save leads to it.
	for _, wrong := range []string{"15:00", "03:00"} {
		run(t, tab, filledIn("#own-every-insertion_at", wrong), seeIn("main", "Lenses in: Please choose from"), tap("own-save"), becomes(`document.activeElement?.id === 'own-every-insertion_at'`),
			becomes(`[...document.querySelectorAll('[data-test=own-times] [aria-invalid]')].map(x => x.id).join() === 'own-every-insertion_at'`))
	}
	run(t, tab, filledIn("#own-every-insertion_at", "21:45"), chromedp.WaitNotPresent(chromedp.CSS(css("own-times")+" [aria-invalid]")), tap("own-night-5"), tap("own-holiday"), becomes(`document.activeElement?.id === 'own-holiday-0-from'`), filledIn("#own-free-insertion_at", "22:15"))
	shot(t, tab, "own-times")
	// A time stands whole in its field, with AM or PM, at 320 px with letters of 200 % too.
	width(t, tab, 320, 568)
	letters(t, tab, 200)
	cut, err := ask[[]string](tab, `[...document.querySelectorAll('[data-test=own-times] input:is([type=time], [type=date])')].map(x => {
		const style = getComputedStyle(x), text = x.type === 'time' ? '10:00 PM' : '10/30/2026', pen = document.createElement('canvas').getContext('2d');
		pen.font = style.font;
		const mark = 1.1 * parseFloat(style.fontSize); // the picture that opens the chooser
		const room = x.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight) - mark;
		return pen.measureText(text).width <= room ? '' : x.id + ': ' + text + ' does not fit into ' + room;
	}).filter(Boolean)`)
	if err != nil || len(cut) > 0 {
		t.Errorf("cut off: %v %v", cut, err)
	}
	// and two children of one name are told apart by what stands in the head
	head, err := ask[float64](tab, `(() => {
		const chip = document.querySelector('[data-test=wearer]'), style = getComputedStyle(chip), pen = document.createElement('canvas').getContext('2d');
		pen.font = style.font;
		return chip.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight) - pen.measureText('Daniel A…').width;
	})()`)
	if err != nil || head < 0 {
		t.Errorf("the child's name is cut off by %v px within its first word and a letter, %v", -head, err)
	}
	letters(t, tab, 100)
	width(t, tab, 390, 844)
	// Quiet hours that would silence a reminder of the family's are refused at its field; others are kept.
	run(t, tab, filledIn("#own-quiet-from", "21:30"), seeIn("main", "That is within the quiet hours, 21:30 to"), tap("own-save"), becomes(`document.activeElement?.id === 'own-every-insertion_at'`),
		filledIn("#own-quiet-from", "23:15"), chromedp.WaitNotPresent(chromedp.CSS(css("own-times")+" [aria-invalid]")), tap("own-save"), see("own-times", "Saved."))
	run(t, tab, atScreen("#/"), becomes(cardOf(2)+`.includes('Daniel') && `+cardOf(2)+`.includes('22:15')`), // the holidays begin tonight
		atScreen("#/reminders"), chromedp.Reload(), becomes(`document.querySelector('#own-every-insertion_at')?.value === '21:45' && document.querySelector('#own-quiet-from').value === '23:15' && document.querySelector('#own-free-insertion_at')?.value === '22:15' && document.querySelector('[data-test=own-night-5]').checked`))

	run(t, tab, atScreen("#/devices"), filledInMark("invite-name", "Otto Achterberg"), becomes(`document.querySelector('`+css("invite-parent")+`').getAttribute('aria-label') === 'Make a code: Otto Achterberg' && document.querySelector('`+css("device-add")+`').getAttribute('aria-label') === 'Make a code: Another phone of mine'`), tap("invite-parent"), becomes(`/([0-9A-Z]{4}-){2}[0-9A-Z]{4}/.test(document.querySelector('`+css("invite-code")+`')?.innerText)`))
	shot(t, tab, "invite-parent")
	text, err := ask[string](tab, `document.querySelector('`+css("invite-code")+`').innerText`)
	if err != nil {
		t.Fatal(err)
	}
	code := regexp.MustCompile(`[0-9A-Z]{4}-[0-9A-Z]{4}-[0-9A-Z]{4}`).FindString(text)
	other := phoneAt(t, bedtime)
	run(t, other, chromedp.Navigate(a.URL()+"/join"), chromedp.WaitVisible(sel("join")), chromedp.SendKeys(sel("join-code"), code), tap("join-agree"), tap("join"), chromedp.WaitVisible(sel("first-1")),
		atScreen("#/reminders"), tap("mine-case"), seeIn("main", "Saved."), chromedp.Reload(), becomes(`!!document.querySelector('[data-test=mine-insertion]')?.checked && !document.querySelector('[data-test=mine-case]').checked`))
	shot(t, other, "mine")
	run(t, tab, atScreen("#/reminders"), chromedp.Reload(), seeIn("main", "Otto Achterberg leaves to others"))
	run(t, other, atScreen("#/devices"), tap("device-rename"), becomes(`document.activeElement.dataset.test === 'device-name'`), filledInMark("device-name", " "), tap("device-name-save"), seeIn("main .entry-fault", "Please write something first."), becomes(`document.activeElement.dataset.test === 'device-name'`),
		filledInMark("device-name", "Otto’s blue phone"), tap("device-name-save"), seeIn("main", "Otto’s blue phone"), becomes(`document.activeElement.dataset.test === 'device-rename'`))
	run(t, tab, atScreen("#/devices"), seeIn("main", "Marit Achterberg: Otto’s blue phone"), seeIn("main", "Otto Achterberg: Linux"))
	shot(t, tab, "renamed")
	sound(t, tab)
	sound(t, other)
}

// filledInMark puts a text into the field with a mark.
func filledInMark(mark, value string) step {
	return chromedp.Steps(chromedp.WaitVisible(sel(mark)), filledIn(css(mark), value))
}
