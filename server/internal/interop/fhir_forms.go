package interop

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"time"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
)

// formVersion is the version of the forms: that of the log's schema.
var formVersion = strconv.Itoa(care.Schema)

// form is one questionnaire with the kinds of entry that answer it.
type form struct {
	id, name, title string
	kinds           []care.EntryKind
	items           []question
}

// question is one item of a form. Its key is the field of an entry's body; its
// link id is the path of keys, which for the nightly log is the item's key in
// a folded night.
type question struct {
	key, text, kind string // kind is the item type of the specification
	options         []option
	items           []question
	many            bool // a list: one answer for each member
}

type option struct{ code, display string }

func yes(key, text string) question { return question{key: key, text: text, kind: "boolean"} }
func at(key, text string) question  { return question{key: key, text: text, kind: "time"} }
func whole(key, text string) question {
	return question{key: key, text: text, kind: "integer"}
}
func choice(key, text string, options ...option) question {
	return question{key: key, text: text, kind: "choice", options: options}
}
func group(key, text string, items ...question) question {
	return question{key: key, text: text, kind: "group", items: items}
}

var eitherEye = []option{{"both", "Both"}, {"right", "Right"}, {"left", "Left"}}

var whichEyes = choice("eyes", "Which eyes?", eitherEye...)

// forms returns the questionnaires the log answers. Every kind of entry has one
// but for two: a run of the sight test is an observation, and a retraction is
// told by the provenance of what it retracts.
func forms() []form {
	night := question{key: "night", text: "Date of the evening; a night runs 12:00 to 11:59", kind: "date"}
	return []form{
		{"nightly-log", "NightlyLog", "Nightly log", []care.EntryKind{care.Insertion, care.Removal, care.NotWorn, care.Care, care.Morning},
			append([]question{night}, nightlyItems()...)},
		{"symptom-check", "SymptomCheck", "Symptom check", []care.EntryKind{care.Symptoms}, append([]question{night}, symptomItems()...)},
		{"evening-sight", "EveningSight", "Evening sight", []care.EntryKind{care.EveningSight}, append([]question{night}, eveningItems()...)},
		{"supplies", "Supplies", "Lens case, solution and lenses at home", []care.EntryKind{care.Supply}, append([]question{night}, supplyItems()...)},
		{"family-note", "FamilyNote", "Note of the family", []care.EntryKind{care.Note}, []question{night, {key: "text", text: "In the family's words", kind: "text"}}},
		{"plan-acknowledgement", "PlanAcknowledgement", "Care plan read and understood", []care.EntryKind{care.PlanAck},
			[]question{night, whole("plan", "Which version of the care plan was read?")}},
		{"reminder-choices", "ReminderChoices", "Reminders paused or put off", []care.EntryKind{care.Pause, care.Snooze},
			append([]question{night}, reminderItems()...)},
		{"wear-decision", "WearDecision", "What the practice decided about wearing, and told the family", []care.EntryKind{care.Cease, care.Resume, care.WearStart, care.Word, care.Visit, care.Taught},
			append([]question{night}, decisionItems()...)},
		{"family-answer", "FamilyAnswer", "What the family answered the practice", []care.EntryKind{care.Reply, care.Read, care.CheckOpen, care.Elsewhere, care.Learnt},
			append([]question{night}, answerItems()...)},
	}
}

func nightlyItems() []question {
	return []question{
		group("insertion", "Lenses in", at("at", "When?"), whichEyes),
		group("removal", "Lenses out", at("at", "When?"), question{key: "on", text: "On which date, when after the night had ended?", kind: "date"}, whichEyes, whole("slept_minutes", "How many minutes asleep in lenses?")),
		group("not-worn", "Lenses not worn", choice("reason", "Why?",
			option{"forgot", "Forgot"}, option{"tired", "Too tired"}, option{"ill", "Ill"}, option{"sore-eye", "Sore eye"},
			option{"lens-problem", "Problem with a lens"}, option{"soak-not-ready", "Disinfection was not over"}, option{"away", "Away from home"},
			option{"told-to-stop", "Told to stop"}, option{"other", "Another reason"}), whichEyes),
		group("care", "Care of lenses and case",
			yes("hand_wash", "Hands washed?"), yes("rub", "Lenses rubbed?"),
			choice("rinse", "Rinsed with what?", option{"solution", "Lens solution"}, option{"saline", "Saline"}, option{"tap-water", "Tap water"}, option{"none", "Not rinsed"}),
			choice("system", "Which care system?", option{"multipurpose", "Multipurpose"}, option{"peroxide", "Peroxide"}, option{"other", "Other"}),
			at("closed_at", "When was the case closed to disinfect?"),
			yes("case_emptied", "Case emptied?"), yes("case_wiped", "Case wiped?"), yes("case_dried", "Case left to dry?"),
			yes("deposit_removal", "Deposits removed?"), yes("topping_off", "Old solution topped up?"),
			yes("tap_water", "Did tap water touch lens or case?"), yes("water_contact", "Shower or swim with lenses in?")),
		group("morning", "On waking",
			choice("moved", "Did the lenses move?", option{"freely", "Freely"}, option{"stuck-came-off", "Stuck, then came off"}, option{"stuck", "Stuck"}),
			yes("drops", "Drops used before removal?"),
			whole("comfort", "Comfort, 0 to 4, 4 best"), whole("redness", "Redness as the family sees it, 0 none to 3")),
	}
}

// symptomItems takes questions and answers from the words the family reads.
func symptomItems() []question {
	say := alerts.English()
	ask := func(sign string, answers []string) question {
		q := choice(sign, say.Say("sign."+sign))
		for _, a := range answers {
			q.options = append(q.options, option{a, say.Say("answer." + sign + "." + a)})
		}
		return q
	}
	eye := func(key, text string) question {
		g := group(key, text)
		for _, s := range alerts.Default().Signs {
			if s.Scope == alerts.OfEye {
				g.items = append(g.items, ask(string(s.Name), s.Answers))
			}
		}
		return g
	}
	items := []question{
		eye("right", "Right eye"), eye("left", "Left eye"), ask("other", []string{"usual", "not-usual", "unknown"}),
		{key: "began", text: "When did it begin?", kind: "dateTime"},
		choice("began_about", "In which span?", option{"now", "Just now"}, option{"hours", "A few hours ago"}, option{"night", "Last night"},
			option{"yesterday", "Yesterday"}, option{"days", "Two days ago or more"}),
	}
	for _, s := range alerts.Default().Signs {
		if s.Scope == alerts.OfReport {
			items = append(items, ask(string(s.Name), s.Answers))
		}
	}
	return append(items, question{key: "note", text: "In your own words", kind: "text"}, yes("unfinished", "Was the check left before its end?"),
		choice("form", "On which form, where it was not the check?", option{"morning", "The log of a morning with a stuck lens"}, option{"where", "Where the stuck lens is"}))
}

func eveningItems() []question {
	return []question{
		whole("rating", "How clear is sight this evening? 1 to 5, 5 as clear as in the morning. An answer, not a measurement"),
		{key: "hours_since_removal", text: "Hours since the lenses came out", kind: "decimal"},
		choice("halos", "Halos or glare?", option{"none", "None"}, option{"some", "Some"}, option{"troublesome", "Troublesome"}),
		yes("spectacles", "Were spectacles needed?"),
		whole("scale", "Version of the scale the rating was asked with: 1 faces, 2 pictures out of focus by 0.35 dioptres a step"),
	}
}

func supplyItems() []question {
	return []question{
		choice("item", "What?", option{"case", "Lens case"}, option{"solution", "Bottle of solution"}, option{"lens", "Lens"}, option{"holder", "Lens holder"}, option{"drops", "Drops"}),
		choice("action", "Started or discarded?", option{"started", "Started"}, option{"discarded", "Discarded"}, option{"kept", "Kept as a spare"}),
		{key: "on", text: "On which date?", kind: "date"}, choice("eye", "For which eye?", eitherEye...),
		whole("discard_after_days", "How many days after opening is it discarded, by its label?"),
		{key: "label", text: "The family's name for it", kind: "text"},
		choice("why", "Why is it not in use any more?", option{"finished", "Finished"}, option{"lost", "Lost"}),
		{key: "of", text: "Which entry does it end, or take into use?", kind: "string"},
	}
}

// reminderItems are about reminders only: a pause says nothing of wear.
func reminderItems() []question {
	return []question{
		group("pause", "No reminders for some nights", choice("reason", "Why?", option{"away", "Away"}, option{"ill", "Ill"}),
			question{key: "to", text: "Up to which night, that one too?", kind: "date"}),
		group("snooze", "This night's reminders put off", at("until", "Until when?")),
	}
}

// decisionItems are what the practice writes in the family's log.
func decisionItems() []question {
	said := question{key: "text", text: "In the practice's words", kind: "text"}
	alert := question{key: "alert", text: "Which alert was closed with it?", kind: "string"}
	return []question{
		group("cease", "No lens", whichEyes, choice("reason", "Why?",
			option{"report", "What was reported"}, option{"examination", "Found on examination"}, option{"treatment", "Under treatment"},
			option{"lens", "The lens itself"}, option{"other", "Another reason"}, option{"ended", "Treatment with lenses is over"}),
			question{key: "review_by", text: "Looked at again by which date?", kind: "date"}, question{key: "from", text: "From which night?", kind: "date"}, said, alert),
		group("resume", "Lenses again", whichEyes, question{key: "answers", text: "Which entries does it answer?", kind: "string", many: true},
			question{key: "from", text: "From which night?", kind: "date"},
			choice("basis", "On what ground?", option{"examined", "Examined here"}, option{"examined-elsewhere", "Examined elsewhere"},
				option{"by-telephone", "By telephone"}, option{"in-error", "Reported in error"}),
			yes("check", "After a check of the eye?"), question{key: "hours", text: "For at most how many hours?", kind: "decimal"},
			yes("new_lens", "With a new lens?"), yes("new_case", "With a new case?"), said, alert),
		group("wear-start", "What held when these records began", question{key: "opens", text: "Which entries, and for which eye?", kind: "text"}),
		group("word", "Message to the family", said, question{key: "about", text: "About which entry?", kind: "string"}, yes("answer_wanted", "Is an answer wanted?"),
			question{key: "phrase", text: "Which listed sentence?", kind: "string"}, question{key: "withdraws", text: "Which message does it withdraw?", kind: "string"}, alert),
		group("visit", "Visit", question{key: "on", text: "On which date?", kind: "date"}, at("at", "At what time?"),
			question{key: "moves", text: "Which visit does it move?", kind: "string"}, yes("cancelled", "Called off?")),
		group("taught", "What the practice has seen the family do", question{key: "skills", text: "Which steps?", kind: "string", many: true}),
	}
}

// answerItems are what a family writes to the practice about its decisions.
func answerItems() []question {
	return []question{
		group("reply", "Answer", question{key: "text", text: "In the family's words", kind: "text"}, question{key: "to", text: "To which entry?", kind: "string"}),
		group("read", "Read", question{key: "of", text: "Which entry?", kind: "string"}),
		group("check-open", "Check begun because of what was logged, or begun and left", whichEyes, yes("left", "Begun and left?")),
		group("elsewhere", "Examined elsewhere", question{key: "on", text: "On which date?", kind: "date"}, question{key: "who", text: "By whom?", kind: "string"},
			question{key: "said", text: "What was said?", kind: "text"}, whichEyes, question{key: "phone", text: "At which number?", kind: "string"}),
		group("learnt", "What the family says it can do by itself", question{key: "skill", text: "Which step?", kind: "string"}, yes("done", "Can it?")),
	}
}

// nested reports whether the answers of each kind stand in a group of its own.
func (f *form) nested() bool { return len(f.kinds) > 1 }

func (f *form) url(base string) string { return base + "/fhir/Questionnaire/" + f.id }

// codes names the answers of one question.
func (f *form) codes(base, link string) string {
	return base + "/fhir/CodeSystem/" + f.id + "-" + strings.ReplaceAll(link, "/", "-")
}

func (b *bundler) forms() {
	for _, f := range forms() {
		q := questionnaire{
			ResourceType: "Questionnaire", ID: nameUUID(urlNamespace, f.url(b.Base)), URL: f.url(b.Base), Version: formVersion,
			Name: f.name, Title: f.title, Status: "active", SubjectType: []string{"Patient"}, Item: f.formItems(b.Base, "", f.items),
		}
		b.add(q.ID, q)
	}
}

func (f *form) formItems(base, path string, list []question) []formItem {
	var out []formItem
	for _, q := range list {
		it := formItem{LinkID: path + q.key, Text: q.text, Type: q.kind, Repeats: q.many}
		for _, o := range q.options {
			it.Options = append(it.Options, formOption{coding{f.codes(base, it.LinkID), o.code, o.display}})
		}
		it.Item = f.formItems(base, it.LinkID+"/", q.items)
		out = append(out, it)
	}
	return out
}

// formOf returns the form that entries of a kind answer; false when the kind
// has none.
func formOf(kind care.EntryKind) (form, bool) {
	for _, f := range forms() {
		if slices.Contains(f.kinds, kind) {
			return f, true
		}
	}
	return form{}, false
}

// answersOf writes an entry as answers. A field nobody answered is left out.
func (f *form) answersOf(base string, e *care.Entry) []responseItem {
	var body map[string]json.RawMessage
	if json.Unmarshal(e.Body, &body) != nil {
		return nil
	}
	night, err := json.Marshal(e.Night)
	if err != nil {
		return nil
	}
	if !f.nested() {
		body["night"] = night
		return f.responseItems(base, "", f.items, body)
	}
	return f.responseItems(base, "", f.items, map[string]json.RawMessage{"night": night, string(e.Kind): e.Body})
}

func (f *form) responseItems(base, path string, list []question, body map[string]json.RawMessage) []responseItem {
	var out []responseItem
	for _, q := range list {
		raw, given := body[q.key]
		if !given {
			continue
		}
		it := responseItem{LinkID: path + q.key, Text: q.text}
		if q.kind == "group" {
			var inner map[string]json.RawMessage
			if json.Unmarshal(raw, &inner) == nil {
				it.Item = f.responseItems(base, it.LinkID+"/", q.items, inner)
			}
		} else {
			it.Answer = q.answers(f.codes(base, it.LinkID), raw)
		}
		if it.Answer != nil || it.Item != nil {
			out = append(out, it)
		}
	}
	return out
}

// answers turns a value of the log, or each of a list, into answers.
func (q *question) answers(system string, raw json.RawMessage) (out []answer) {
	list := []json.RawMessage{raw}
	if q.many && json.Unmarshal(raw, &list) != nil {
		return nil
	}
	for _, v := range list {
		if a, ok := q.answer(system, v); ok {
			out = append(out, a)
		}
	}
	return out
}

// answer turns a value of the log into one of the question's type.
func (q *question) answer(system string, raw json.RawMessage) (answer, bool) {
	var a answer
	var s string
	switch q.kind {
	case "boolean":
		return a, json.Unmarshal(raw, &a.Boolean) == nil
	case "integer":
		var n float64 // 3.0 is a whole number too
		ok := json.Unmarshal(raw, &n) == nil
		i := int(n)
		a.Integer = &i
		return a, ok
	case "decimal":
		return a, json.Unmarshal(raw, &a.Decimal) == nil
	}
	if json.Unmarshal(raw, &s) != nil {
		if q.kind != "text" {
			return a, false
		}
		s = string(raw) // an object, as it is written
	}
	switch q.kind {
	case "date":
		a.Date = s
	case "time":
		a.Time = s + ":00"
	case "dateTime":
		t, err := time.Parse(time.RFC3339, s)
		a.DateTime = instant(t)
		return a, err == nil && t.Year() > 0
	case "choice":
		i := slices.IndexFunc(q.options, func(o option) bool { return o.code == s })
		if i < 0 {
			return a, false
		}
		a.Coding = &coding{system, s, q.options[i].display}
	default:
		a.String = words(s)
		return a, a.String != ""
	}
	return a, true
}
