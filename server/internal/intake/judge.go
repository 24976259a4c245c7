package intake

import (
	"slices"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// judge sets what an entry says of wearing, for good. What an earlier life of the
// log judged stays when it was worse.
func judge(tx *store.Tx, e *care.Entry) error {
	before := e.Judged
	e.Recv = tx.Now // as it is stored: nothing was written later
	e.Judged = care.Marks{Right: care.None, Left: care.None, Given: true, Table: alerts.Default().Version}
	if care.MayMark(e) && (e.Kind != care.Insertion || tx.Log().HasWear(e.Wearer)) {
		rec, err := openRecord(tx, e.Wearer)
		if err != nil {
			return err
		}
		j := judging{tx: tx, e: e, rec: rec}
		e.Judged = care.Judge(e, j.scene())
		if j.err != nil {
			return j.err
		}
	}
	if before.Given {
		e.Judged = e.Judged.Worse(before)
	}
	return nil
}

// judging reads what the judge asks for, when it does.
type judging struct {
	tx  *store.Tx
	e   *care.Entry
	rec record
	err error

	read []care.NightSigns // of the nights, once they were asked for
}

func (j *judging) scene() *care.Judging {
	return &care.Judging{
		Plan: j.rec.plan, Settings: j.rec.settings, Tonight: j.rec.today,
		Nights: j.nights, Entries: j.entries,
		Facts: func() []care.WearFact { return j.tx.Log().WearFacts(j.e.Wearer) },
		Said:  func() []*care.Entry { return j.tx.Log().WearEntries(j.e.Wearer) },
	}
}

// span returns the nights that are looked at.
func (j *judging) span() (from, to civil.Date) {
	from, to = j.rec.today, j.rec.today
	if j.e.Night.Before(from) {
		from = j.e.Night
	}
	if j.e.Night.After(to) {
		to = j.e.Night
	}
	return from.AddDays(-recordNights), to
}

func (j *judging) nights() []care.NightSigns {
	if j.read != nil {
		return j.read
	}
	from, to := j.span()
	list, err := j.tx.Log().NightSigns(j.e.Wearer, from, to)
	if err != nil {
		j.err = err
		return nil
	}
	// Where the entry corrects another of its night the worse of both counts here.
	signs := care.NightSignsOf(j.e.Night, []*care.Entry{j.e})
	at, found := slices.BinarySearchFunc(list, j.e.Night, func(b care.NightSigns, d civil.Date) int { return b.Date.Compare(d) })
	if found {
		list[at] = list[at].Worse(signs)
	} else {
		list = slices.Insert(list, at, signs)
	}
	j.read = list
	return list
}

func (j *judging) entries() []*care.Entry {
	from, to := j.span()
	byNight := map[civil.Date][]*care.Entry{}
	err := j.tx.Log().WearerEntries(j.e.Wearer, from, to, func(x care.Entry) bool {
		if x.ID != j.e.ID {
			byNight[x.Night] = append(byNight[x.Night], &x)
		}
		return true
	})
	if err != nil {
		j.err = err
		return nil
	}
	var out []*care.Entry
	for night, list := range byNight {
		out = append(out, care.Live(j.e.Wearer, night, list)...)
	}
	return out
}
