package archive

// Check verifies the rolling checksum and indices of
// every entry, every record of a night against its entries, the lists of people,
// devices, alerts, messages and reminders against what they list, and the audit
// chain.
//
// Where a part of the file is damaged that is a fault, and what can be read is still
// checked.
func (tx *Tx) Check() []error {
	var faults []error
	met := tx.p.CollectUnreadable()
	for _, part := range []func() []error{
		func() []error { tx.p.CheckDigests(); return nil },
		tx.log.CheckEntries, tx.log.CheckNights, tx.checkIndices, tx.checkLeft,
		func() []error { return []error{tx.audit.Check()} },
	} {
		err := tx.p.Try(func() error {
			for _, f := range part() {
				if f != nil {
					faults = append(faults, f)
				}
			}
			return nil
		})
		if err != nil {
			faults = append(faults, err)
		}
	}
	for _, u := range met() {
		faults = append(faults, u)
	}
	return faults
}
