package course

import (
	"strings"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

const (
	mostQuestions  = 60
	mostCandidates = 20 // times that one wearer is asked
)

type candidateRequest struct {
	Right   course.Refraction `json:"right"`
	Left    course.Refraction `json:"left"`
	Age     float64           `json:"age_years"`
	Answers map[string]string `json:"answers"` // question to yes or no
	Asked   int               `json:"asked"`
	Note    string            `json:"note,omitempty"`
}

// keepCandidate keeps the answers of the suitability page in the wearer's record.
func (c *call) keepCandidate() error {
	var req candidateRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := req.check(); err != nil {
		return err
	}
	return c.update("kept answers before fitting", &transport.Done{OK: true}, func(tx *store.Tx, w care.Wearer, _ civil.Date) (string, error) {
		all, err := register.Shelved[course.Candidate](tx.Chart(), register.Candidates, w.ID)
		if err != nil {
			return "", err
		}
		if len(all) >= mostCandidates {
			return "", care.Errorf(care.Conflict, "too-many", "the answers of one wearer are kept at most %d times", mostCandidates)
		}
		k := course.Candidate{ID: access.NewID(), At: tx.Now, By: c.Caller.Person.Name, Right: req.Right, Left: req.Left, Age: req.Age, Answers: req.Answers, Asked: req.Asked, Note: req.Note}
		return k.ID, tx.Chart().Shelve(register.Candidates, w.ID, k.ID, k)
	})
}

func (r *candidateRequest) check() error {
	fields := map[string]string{"right.sphere": "sphere", "right.cylinder": "cylinder", "right.axis": "axis",
		"left.sphere": "sphere", "left.cylinder": "cylinder", "left.axis": "axis", "age_years": "age_years"}
	if err := record.CheckNumbers(r, fields, "", ""); err != nil {
		return err
	}
	if len(r.Answers) > mostQuestions || r.Asked > mostQuestions || r.Asked < len(r.Answers) {
		return care.Refuse("bad-answers", "answers", "want at most %d questions, and no more answers than questions", mostQuestions)
	}
	for q, a := range r.Answers {
		if strings.TrimSpace(q) == "" || (a != "yes" && a != "no") {
			return care.Refuse("bad-answers", "answers", "want yes or no to a question; leave out what is not known")
		}
		if err := tooLong(said{"answers", q, 300}); err != nil {
			return err
		}
	}
	return tooLong(said{"note", r.Note, mostWords})
}
