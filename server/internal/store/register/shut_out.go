package register

import "nightkeep/server/internal/care"

// ShutOut counts who cannot get in by what a file holds.
type ShutOut struct {
	Staff    int `json:"staff,omitempty"`    // who have neither a passkey nor a session
	Devices  int `json:"devices,omitempty"`  // phones and browsers of which the half is lost that lets them in
	Families int `json:"families,omitempty"` // of whom no phone is let in
}

// ShutOut counts who cannot get in.
func (tx *Access) ShutOut() (out ShutOut, err error) {
	devices, people := map[care.DeviceID]bool{}, map[care.PersonID]bool{}
	err = credentials.Scan(tx.p, nil, func(_ []byte, c Credential) bool {
		d, err := tx.register.Device(c.Device)
		switch {
		case err != nil:
			out.Devices++
		case !d.Revoked && (c.Expires.IsZero() || tx.p.Now.Before(c.Expires)):
			devices[d.ID], people[d.Person] = true, true
		}
		return true
	})
	if err != nil {
		return out, err
	}
	families, err := tx.register.Families()
	if err != nil {
		return out, err
	}
	for _, f := range families {
		phones, err := tx.register.Devices(f.ID)
		if err != nil {
			return out, err
		}
		in := false
		for _, d := range phones {
			in = in || devices[d.ID]
			if !d.Revoked && !devices[d.ID] {
				out.Devices++
			}
		}
		if !in {
			out.Families++
		}
	}
	staff, err := tx.register.Staff()
	for _, p := range staff {
		if keys, err := tx.Passkeys(p.ID); !p.Gone && !people[p.ID] && (err != nil || len(keys) == 0) {
			out.Staff++
		}
	}
	return out, err
}
