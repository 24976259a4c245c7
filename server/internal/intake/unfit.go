package intake

import (
	"errors"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// unfit is a fault met while an entry was stored or judged, after it had been
// found to be the family's own: this program fails on it and would fail again.
type unfit struct{ err error }

func (u unfit) Error() string { return u.err.Error() }
func (u unfit) Unwrap() error { return u.err }

// isUnfit reports whether a write has failed on an entry, or on a damaged part of the
// file behind it, so that it would fail again.
func isUnfit(err error) bool { return errors.As(err, &unfit{}) || store.Faulted(err) }

// oneByOne takes the entries of a request in each by itself, after taking them
// together has failed. One that fails alone is kept aside, so that it neither
// stops those beside it nor comes again for ever.
func (in *Intake) oneByOne(caller register.Caller, req Request, list []parsed) (verdicts []Verdict, raised bool, err error) {
	for i := range list {
		one := list[i : i+1]
		var told bool
		var v []Verdict
		err := in.DB.WriteFirst(func(tx *store.Tx) (err error) {
			v, told, err = in.take(tx, caller, req, one)
			return err
		})
		if isUnfit(err) {
			err = in.DB.WriteFirst(func(tx *store.Tx) (err error) {
				v = []Verdict{{ID: one[0].id}}
				v[0].refuse("held", errKeptAside)
				told, err = keepAside(tx, caller, one[0])
				if care.KindOf(err) == care.Invalid { // nothing to do with what this program failed on
					v[0].refuse("refused", err)
					return nil
				}
				return err
			})
		}
		if err != nil {
			return nil, false, err
		}
		verdicts, raised = append(verdicts, v...), raised || told
	}
	return verdicts, raised, nil
}

var errKeptAside = care.Refuse("kept-aside", "", "the server could not work with this entry; it is kept there as it is, and the practice is told when it is about a sore eye")

// keepAside keeps an entry that this program fails on, as it came: it is safe
// here, is tried again at every start, and counts as heard of its device. A
// symptom report is told to the practice at once, since nobody can say what it
// would have raised.
func keepAside(tx *store.Tx, caller register.Caller, p parsed) (raised bool, err error) {
	family := caller.Person.Family
	restored, err := tx.Log().RestoredOf(family)
	if err != nil {
		return false, err
	}
	m := membership{tx, family, "", restored, map[care.WearerID]bool{}, map[care.PersonID]bool{}}
	err = p.err
	if err == nil || care.Held(err) {
		err = m.check(p.entry, caller.Device.ID, false)
	}
	if p.report && care.KindOf(err) == care.Invalid {
		_, raised, err = m.unread(caller, p, err)
		return raised, err
	}
	if err != nil && !store.Faulted(err) { // whose it is cannot be told, which refuses nothing
		return false, err
	}
	return keep(tx, family, p.entry, p.raw)
}
