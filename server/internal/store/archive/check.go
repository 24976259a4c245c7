package archive

// Check verifies the rolling checksum and indices of
// every entry, every record of a night against its entries, the lists of people,
// devices, alerts, messages and reminders against what they list, and the audit
// chain.
func (tx *Tx) Check() []error {
	var faults []error
	met := tx.p.CollectUnreadable()
	tx.p.CheckDigests()
	faults = append(faults, tx.log.CheckEntries()...)
	faults = append(faults, tx.log.CheckNights()...)
	faults = append(faults, tx.checkIndices()...)
	faults = append(faults, tx.checkLeft()...)
	if err := tx.audit.Check(); err != nil {
		faults = append(faults, err)
	}
	for _, u := range met() {
		faults = append(faults, u)
	}
	return faults
}
