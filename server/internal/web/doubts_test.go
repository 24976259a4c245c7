package web_test

import "testing"

// The site's clock stands at 28 March 2026, a Saturday.
func TestDatesThatCannotBe(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("PUT", "/api/clinic/wearers/w1", "desk", `{"name":"Ida","code":"W-1","birth":"2016-02-01"}`, 200, "2016-02-01")
	s.says("PUT", "/api/clinic/wearers/w1", "desk", `{"name":"Ida","code":"W-1","birth":"2026-04-01"}`, 422, "in the future")
	s.says("PUT", "/api/clinic/wearers/w1", "desk", `{"name":"Ida","code":"W-1","birth":"1890-04-01"}`, 422, "120 years")
	const visits = "/api/clinic/wearers/w1/visits"
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-04-03","state":"kept"}`, 422, "not kept")
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-04-03","state":"missed"}`, 422, "not missed")
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2015-04-03","state":"kept"}`, 422, "before the date of birth")
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-03-27","state":"kept","right":{"axial_mm":239}}`, 422, "right eye, axial length: 239 mm is not possible; want 14 to 40 mm")
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-03-27","state":"kept","right":{"measures":{"shoe_size":3}}}`, 422, "shoe_size")
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-03-27","state":"kept","right":{"measures":{"pupil":4.5},"words":{"centration":"central"}}}`, 200, `"pupil":4.5`)
	s.says("POST", "/api/clinic/wearers/w1/plan", "clinician", `{"version":1,"zone":"Europe/Lisbon"}`, 422, "first night in lenses")
}

// What is possible and unlikely is asked once, and taken when it is said to be
// right.
func TestUnlikelyAppointmentsAreAsked(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const at = "/api/clinic/wearers/w1/visits"
	s.says("POST", at, "desk", `{"id":"old","kind":"recall","date":"2026-03-20","state":"booked"}`, 409, "in the past")
	s.says("POST", at, "desk", `{"id":"old","kind":"recall","date":"2026-03-20","state":"booked","sure":true}`, 200, "2026-03-20")
	s.says("POST", at, "desk", `{"id":"a","kind":"recall","date":"2026-04-02","time":"10:00","state":"booked"}`, 200, "booked")
	s.says("POST", at, "desk", `{"id":"b","kind":"recall","date":"2026-04-02","time":"15:00","state":"booked"}`, 409, "already has a visit booked")
	s.says("POST", at, "desk", `{"id":"a","kind":"recall","date":"2026-04-02","time":"10:30","state":"booked"}`, 200, "10:30")
}

// The same name, letters and accents aside, and the same date of birth.
func TestTheSameChildTwiceIsAsked(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.placed("")
	family := func(name, code, more string) string {
		return `{"name":"Åsberg","zone":"Europe/Lisbon","wearer":{"name":"` + name + `","code":"` + code + `","birth":"2015-05-06"` + more + `},"people":[{"name":"Pat Åsberg","role":"parent","phone":"+44 20 7946 0101"}]}`
	}
	s.says("POST", "/api/clinic/families", "desk", family("Märta Åsberg", "C-1", ""), 200, "C-1")
	s.says("POST", "/api/clinic/families", "desk", family("marta asberg", "C-2", ""), 409, "already a wearer of the practice, with the code C-1")
	s.says("POST", "/api/clinic/families", "desk", family("marta asberg", "C-2", `,"sure":true`), 200, "C-2")
}
