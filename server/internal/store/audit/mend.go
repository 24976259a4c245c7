package audit

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"nightkeep/server/internal/store/pairs"
)

// brokenLine is what a line of the log says that a repair put where the chain was
// broken. What it was done to says which lines are lost, or do not fit, by the
// numbers they had.
const brokenLine = "chain broken here, begun anew by a repair"

// BeginAnew makes a chain of the lines that are left of a damaged file. Where one is
// lost, or does not fit, a line says so, and those behind it are numbered and
// chained anew; those before it stay as they are. Lines that were cut off, which a
// given-up page may still hold, go again. A log that is whole stays as it is.
func (tx *Tx) BeginAnew() error {
	cut, err := tx.Anchor()
	if err != nil {
		return err
	}
	old, said, err := tx.takeOut()
	if err != nil {
		return err
	}
	if cut.Lines == 0 && said != "" { // the anchor is lost, and the chain has it
		if _, err := fmt.Sscanf(said, "%d %s", &cut.Lines, &cut.Hash); err != nil {
			return fmt.Errorf("audit log: %q is no anchor: %w", said, err)
		}
	}
	for _, a := range tx.chained(old, cut) {
		if err := logTable.Put(tx.p, pairs.Key(a.Seq), a); err != nil {
			return err
		}
	}
	if cut.Lines == 0 {
		return nil
	}
	if said != cut.what() {
		if err := tx.Append("", cutLine, cut.what()); err != nil {
			return err
		}
	}
	return tx.p.SetSetting("audit_cut", cut)
}

// takeOut takes every line out of the log and returns those that can be read, by the
// number each is kept under, and the newest anchor they speak of.
func (tx *Tx) takeOut() (old []Line, anchor string, err error) {
	var keys [][]byte
	err = tx.p.Each(logTable.Name, func(k, raw []byte) error {
		keys = append(keys, bytes.Clone(k))
		var a Line
		if json.Unmarshal(raw, &a) != nil {
			return nil // lost, as one that is not there
		}
		if a.Did == cutLine {
			anchor = a.What
		}
		a.Seq = pairs.NumberOf(k) // one that stood elsewhere does not fit its hash
		old = append(old, a)
		return nil
	})
	for _, k := range keys {
		err = errors.Join(err, tx.p.Delete(logTable.Name, k))
	}
	return old, anchor, err
}

// chained returns lines as a chain that begins at an anchor.
func (tx *Tx) chained(old []Line, cut Cut) (out []Line) {
	last := Line{Seq: cut.Lines, Hash: cut.Hash}
	add := func(a Line) {
		a.Seq, a.Before = last.Seq+1, last.Hash
		if a.Hash = a.digest(); !a.sound() {
			a.seal()
		}
		out, last = append(out, a), a
	}
	had := last // as it was in the damaged file
	for _, a := range old {
		lost := ""
		switch {
		case a.Seq <= cut.Lines:
			continue
		case a.Seq > had.Seq+1:
			lost = fmt.Sprintf("lines %d to %d are lost", had.Seq+1, a.Seq-1)
		case !a.sound() || a.Before != had.Hash:
			lost = fmt.Sprintf("line %d does not fit", a.Seq)
		}
		if lost != "" {
			add(Line{At: tx.p.Now, Did: brokenLine, What: lost})
		}
		had = a
		add(a)
	}
	return out
}
