// Package clinic is the interface of the console about families and wearers:
// alerts, the day, the lists, a wearer's file, who belongs to a family, exports.
// pwa/clinic/api.js is the other half of the contract.
package clinic

import (
	"encoding/json"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/quota"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/figures"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/ready"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

type call struct {
	*transport.Call
	lists  *ListCache
	copies *quota.Book
}

// Routes returns the routes of this room.
func Routes(lists *ListCache) []transport.Route {
	copies := quota.NewBook(copiesPerDay)
	t := transport.Table[*call](func(c *transport.Call) *call { return &call{c, lists, copies} })
	return []transport.Route{
		t.Get("/api/family/copy", access.FamilyOnly, "The caller's own family's record as one archive, without what is the staff's or a teen's alone.", nil, (*call).copyForFamily),
		t.Get("/api/clinic/alerts", access.ClinicDesk, "The queue: live alerts, and those closed in the last day.", alertList{}, (*call).alerts),
		t.Post("/api/clinic/alerts/:id/acknowledge", access.ClinicDesk, "Say that you have it. The first one counts.", nil, alertReply{}, (*call).acknowledge),
		t.Post("/api/clinic/alerts/:id/close", access.Clinical, "Close with an outcome.", closeRequest{}, alertReply{}, (*call).closeAlert),
		t.Post("/api/clinic/alerts/:id/call", access.ClinicDesk, "Log a call to the family. It ends nothing.", callRequest{}, alertReply{}, (*call).logCall),
		t.Post("/api/clinic/alerts/:id/reopen", access.ClinicDesk, "Open a closed alert again; what it was closed with stays on record.", commentRequest{}, alertReply{}, (*call).reopenAlert),
		t.Post("/api/clinic/alerts/:id/comment", access.ClinicDesk, "Add a comment.", commentRequest{}, alertReply{}, (*call).comment),
		t.Post("/api/clinic/alerts/:id/hand-over", access.ClinicDesk, "Hand over to another person.", handOverRequest{}, alertReply{}, (*call).handOver),
		t.Get("/api/clinic/archive", access.ClinicDesk, "Closed alerts, newest closing first, by wearer, dates and outcome.", archivePage{}, (*call).archive),
		t.Get("/api/clinic/rules", access.AnyStaff, "The red-flag rules in force.", ruleList{}, (*call).rules),
		t.Post("/api/clinic/rules/approve", access.Clinical, "Approve the table of rules in force, which was read. Needs a confirmation.", nil, ready.Approval{}, (*call).approveRules),
		t.Get("/api/clinic/waiting", access.ClinicDesk, "How many alerts wait; answers in a locked window too, and names nobody.", waiting{}, (*call).waiting),

		t.Get("/api/clinic/today", access.ClinicDesk, "Who needs a call and why, and the visits of the day.", todayReply{}, (*call).today),
		t.Post("/api/clinic/follow-ups", access.ClinicDesk, "Record that somebody dealt with a reason to call.", followUpRequest{}, transport.Done{}, (*call).followUp),
		t.Get("/api/clinic/wearers", access.ClinicDesk, "Wearers by name or code, 50 a page.", wearerPage{}, (*call).wearers),
		t.Get("/api/clinic/recalls", access.ClinicDesk, "Visits due, overdue, missed and booked by due date, with the last contact.", recallList{}, (*call).recalls),
		t.Get("/api/clinic/practice", access.AnyStaff, "Figures of the practice over a range.", figures.PracticeFigures{}, (*call).practice),

		t.Get("/api/clinic/wearers/:id/review", access.Clinical, "One wearer before the recall.", review.Summary{}, (*call).review),
		t.Get("/api/clinic/wearers/:id/review/mark", access.Clinical, "The mark of that review as it is now: it changes with whatever the review says.", markOfReview{}, (*call).reviewMark),
		t.Get("/api/clinic/wearers/:id/wear", access.ClinicDesk, "Where a wearer's eyes stand, why, and what the practice and the family said to each other.", wearView{}, (*call).wear),
		t.Post("/api/clinic/wearers/:id/say", access.ClinicDesk, "Write in the family's log: no lens, lenses again (a clinician), a message, a visit.", intake.Saying{}, wearView{}, (*call).say),
		t.Post("/api/clinic/wearers/:id/read", access.ClinicDesk, "Mark words of the family as read.", wordsRequest{}, transport.Done{}, (*call).readWords),
		t.Delete("/api/clinic/wearers/:id/claims/:entry", access.Clinical, "Put away a decision that only a phone of the family holds.", transport.Done{}, (*call).dismissClaim),
		t.Get("/api/clinic/wearers/:id/private", access.Clinical, "What a teen wrote to the clinicians alone.", privateWords{}, (*call).private),
		t.Get("/api/clinic/wearers/:id/plan", access.ClinicDesk, "Every version of the care plan, newest first.", planList{}, (*call).plans),
		t.Post("/api/clinic/wearers/:id/plan", access.Clinical, "Store the next version of the care plan.", record.PlanDoc{}, planReply{}, (*call).savePlan),
		t.Get("/api/clinic/wearers/:id/visits", access.ClinicDesk, "Visits, newest first, and those due.", visitList{}, (*call).visits),
		t.Post("/api/clinic/wearers/:id/visits", access.ClinicDesk, "Store a visit, new or changed; the desk books, moves and cancels, and notes who did not come.", visitRequest{}, visitReply{}, (*call).saveVisit),
		t.Post("/api/clinic/suitability", access.Clinical, "Ranges and reasons for a prescription, for the practitioner to decide.", map[string]any{}, map[string]any{}, (*call).suitability),

		t.Post("/api/clinic/families", access.ClinicDesk, "A new family with its first wearer and people.", newFamily{}, familyDetail{}, (*call).newFamily),
		t.Get("/api/clinic/families/:id", access.ClinicDesk, "A family's people and devices.", familyDetail{}, (*call).familyDetail),
		t.Put("/api/clinic/families/:id", access.ClinicDesk, "Change a family's name or time zone.", familyHeading{}, familyDetail{}, (*call).renameFamily),
		t.Post("/api/clinic/families/:id/wearers", access.ClinicDesk, "One more wearer of a family.", wearerForm{}, familyDetail{}, (*call).addWearer),
		t.Put("/api/clinic/wearers/:id", access.ClinicDesk, "Correct a wearer's name, code or date of birth.", wearerForm{}, familyDetail{}, (*call).changeWearer),
		t.Delete("/api/clinic/wearers/:id", access.ClinicDesk, "Take out a wearer enrolled by mistake, of whom nothing is stored.", familyDetail{}, (*call).dropWearer),
		t.Post("/api/clinic/families/:id/people", access.ClinicDesk, "One more person of a family.", personForm{}, familyDetail{}, (*call).addPerson),
		t.Put("/api/clinic/families/:id/people/:person", access.ClinicDesk, "Correct a person's name or telephone number.", personChange{}, familyDetail{}, (*call).changePerson),
		t.Put("/api/clinic/families/:id/people/:person/authority", access.ClinicDesk, "State for the record why somebody may decide for the wearers of their family.", authorityRequest{}, familyDetail{}, (*call).stateAuthority),
		t.Delete("/api/clinic/families/:id/people/:person", access.ClinicDesk, "Take a person out of a family: their devices are shut out.", familyDetail{}, (*call).dropPerson),
		t.Post("/api/clinic/families/:id/come-of-age", access.Clinical, "The wearer is of age and holds the record, as a family of their own when others wear too; others keep access only when named. Needs a confirmation.", comeOfAge{}, familyDetail{}, (*call).comeOfAge),
		t.Get("/api/clinic/families/:id/erasure", access.AdminOnly, "Whom and what an erasure would take.", erasure{}, (*call).erasureOf),
		t.Delete("/api/clinic/families/:id", access.AdminOnly, "Erase a family; for 24 hours it can be put back. Needs a confirmation.", transport.Done{}, (*call).eraseFamily),
		t.Get("/api/clinic/leaving", access.AdminOnly, "Families that were erased and can still be put back.", leavingList{}, (*call).leaving),
		t.Post("/api/clinic/families/:id/put-back", access.AdminOnly, "Take an erasure back within 24 hours. Needs a confirmation.", nil, transport.Done{}, (*call).putBack),

		t.Post("/api/clinic/families/:id/invitations", access.ClinicDesk, "Invite a person; the code is shown once.", inviteRequest{}, record.Invitation{}, (*call).invite),
		t.Get("/api/clinic/invitations", access.ClinicDesk, "Invitations one has made oneself that can still be used.", invitationList{}, (*call).invitations),
		t.Delete("/api/clinic/invitations/:id", access.ClinicDesk, "Withdraw an invitation one has made oneself.", transport.Done{}, (*call).dropInvitation),
		t.Delete("/api/clinic/devices/:id", access.ClinicDesk, "Revoke a device.", transport.Done{}, (*call).revokeDevice),

		t.Get("/api/clinic/export.csv", access.Clinical, "Nights of every wearer as CSV. Needs a confirmation.", nil, (*call).exportCSV),
		t.Get("/api/clinic/export-dictionary.csv", access.AnyStaff, "What each column of the nights' CSV means.", nil, (*call).exportDictionary),
		t.Get("/api/clinic/recalls.csv", access.ClinicDesk, "The same as CSV, by code. Needs a confirmation.", nil, (*call).recallsCSV),
		t.Get("/api/clinic/wearers/:id/fhir", access.Clinical, "One wearer's file as an HL7 FHIR R4 bundle, of all nights or from one to another. Needs a confirmation.", nil, (*call).fhir),
		t.Get("/api/clinic/families/:id/export", access.Clinical, "Everything about a family as one archive. Needs a confirmation.", nil, (*call).exportFamily),
	}
}

// pathWearer returns the wearer the path names. That of drills has no file.
func (c *call) pathWearer(tx *store.Tx) (care.Wearer, error) {
	if care.WearerID(c.Params("id")) == care.DrillWearer {
		return care.Wearer{}, isDrill()
	}
	return tx.Register().Wearer(care.WearerID(c.Params("id")))
}

// jsonInto decodes a stored plan document.
func jsonInto[T any](raw json.RawMessage) (T, error) {
	var v T
	err := json.Unmarshal(raw, &v)
	return v, err
}

func isDrill() error {
	return care.Errorf(care.Conflict, "drill", "this is the practice's own family for drills: nothing of it is kept as a child's")
}
