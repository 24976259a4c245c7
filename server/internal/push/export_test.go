package push

// CheckDial shows the dial-time check to tests: no name that resolves to a
// private address can be had without a resolver of our own.
func (s *Sender) CheckDial(addr string) error { return s.checkDial(addr) }
