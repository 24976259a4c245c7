package bench

import (
	"fmt"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// clinicToken signs the bench's clinician in.
const clinicToken = "token-clinician"

func hireClinician(db *store.DB) error {
	return db.Update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().AddPerson(care.Person{ID: "clinician", Name: "Clinician", Role: care.Clinician}),
			tx.Register().AddDevice(care.Device{ID: "desk", Person: "clinician", Name: "Desk", Created: tx.Now, LastSeen: tx.Now}),
			tx.Access().AddCredential(clinicToken, register.Credential{Device: "desk", Created: tx.Now}),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// reviewPage is row group 7.
func (r *run) reviewPage() error {
	const practice, logged = 5000, 28 // wearers, and the nights each of them wrote of
	dir, err := r.folder("review")
	if err != nil {
		return err
	}
	prog, err := r.opt.Open(dir, clock)
	if err != nil {
		return err
	}
	defer prog.Close()
	if err := r.populateThin(prog.DB, 0, practice, logged, tonight.AddDays(1-logged)); err != nil {
		return err
	}
	const long, short = practice, practice + 1
	if err := r.longAndShort(prog.DB, long, short); err != nil {
		return err
	}
	if err := hireClinician(prog.DB); err != nil {
		return err
	}
	h, err := serve(prog.Server.App())
	if err != nil {
		return err
	}
	defer h.close()
	if err := prog.Server.RefreshLists(); err != nil { // as the running server does every minute
		return err
	}
	times, err := r.pageTimes(h, map[string]string{
		"short":           fmt.Sprintf("/api/clinic/wearers/%s/review", wearerID(short)),
		"long":            fmt.Sprintf("/api/clinic/wearers/%s/review", wearerID(long)),
		"list of wearers": "/api/clinic/wearers", "silent wearers": "/api/clinic/wearers?filter=silent&sort=heard",
		"today": "/api/clinic/today", "recalls": "/api/clinic/recalls",
	})
	if err != nil {
		return err
	}
	r.atMost(15, Row{Group: 7, Name: "review of three years of nights", Unit: "ms", Ours: statOf(times["long"]), Base: statOf(times["short"]), BaseName: "of a tenth of it"})
	for _, name := range []string{"list of wearers", "silent wearers", "today", "recalls"} {
		r.atMost(100, Row{Group: 7, Name: fmt.Sprintf("%s, practice of %d", name, practice), Unit: "ms", Ours: statOf(times[name])})
	}
	return r.paintToday(h.addr)
}

// pageTimes asks for each path five times a round, by its name, and returns the
// median of every round in milliseconds.
func (r *run) pageTimes(h *host, paths map[string]string) (map[string][]float64, error) {
	times := map[string][]float64{}
	for range rounds {
		for name, path := range paths {
			requests := slices.Repeat([][]byte{get(path, "nightkeep_staff="+clinicToken)}, 5)
			o, err := drive(r.ctx, h.addr, 1, requests)
			if err != nil {
				return nil, err
			}
			times[name] = append(times[name], o.at(0.5))
		}
	}
	return times, nil
}
