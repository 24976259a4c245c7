package store

import (
	"encoding/json"

	"nightkeep/server/internal/care"
)

// The buckets and their keys. "|" stands for one zero byte, u64 for 8 bytes
// big-endian, ms for u64 milliseconds since 1970. Values are JSON unless said
// otherwise, and each ends with its content sum (pairs.go).
//
//	meta           name                       -> layout, epoch, settings, VAPID keys
//	families       family                     -> care.Family
//	people         person                     -> care.Person
//	family_people  family|person              -> empty
//	wearers        wearer                     -> care.Wearer
//	family_wearers family|wearer              -> empty
//	devices        device                     -> care.Device
//	family_devices family|device              -> empty
//	staff_devices  person|device              -> empty
//	plans          wearer|u64 version         -> PlanRecord
//	visits         wearer|visit               -> Visit
//	invitations    SHA-256 of the code        -> Invitation
//	credentials    SHA-256 of the token       -> Credential
//	entries        family|u64 fseq            -> 8 bytes rolling checksum, then care.Entry
//	received       family|u64 fseq/32         -> 16 bytes of the id of each of those entries
//	received       family|all ones            -> head: watermark of each device, its own form
//	device_seqs    device|u64 dseq            -> entry; only beyond a gap
//	refs           family|target entry|referrer -> empty
//	nights         wearer|YYYY-MM-DD          -> nightRecord, its own form
//	wear           wearer|u64 fseq            -> family; has a part in the wear state or is of either voice
//	held           family|entry               -> raw entry of a later schema
//	conflicts      entry|u64 ms               -> raw entry whose id was taken
//	alerts         alert                      -> escalate.Alert
//	wearer_alerts  wearer|alert               -> empty
//	live_alerts    alert                      -> empty; open or acknowledged
//	outbox         row key                    -> escalate.Row
//	outbox_due     ms|row key                 -> empty
//	subscriptions  device                     -> Subscription
//	due            ms|wearer                  -> empty; next reminder instant. At 0: ms when the log changed
//	due_at         wearer                     -> ms
//	fired          wearer|YYYY-MM-DD|key      -> ms
//	followups      wearer|reason              -> FollowUp
//	calendars      SHA-256 of the secret      -> Calendar
//	calendar_events family or ""|wearer|uid   -> CalendarEvent, as last shown
//	audit          u64 sequence               -> Audit, hash-chained
//	consents       person|version             -> Consent
//	passkeys       person|credential id       -> Passkey
//	tombstones     tombstone                  -> Tombstone
//	digests        bucket                     -> u64 pairs, u64 sum of their content sums
var buckets = []string{
	"meta", "families", "people", "family_people", "wearers", "family_wearers", "devices", "family_devices", "staff_devices",
	"plans", "visits", "invitations", "credentials", "entries", "received", "device_seqs", "refs",
	"nights", "wear", "held", "conflicts", "alerts", "wearer_alerts", "live_alerts", "outbox", "outbox_due",
	"subscriptions", "due", "due_at", "fired", "followups", "calendars", "calendar_events", "audit",
	"consents", "passkeys", "tombstones", digestBucket,
}

var (
	meta     = table[json.RawMessage]{"meta"}
	families = table[care.Family]{"families"}
	people   = table[care.Person]{"people"}
	wearers  = table[care.Wearer]{"wearers"}
	devices  = table[care.Device]{"devices"}
	held     = table[json.RawMessage]{"held"}
)

// index is a bucket of keys with empty values: owner|member.
type index string

func (ix index) put(tx *Tx, owner, member string) error {
	return tx.put(string(ix), key(owner, member), nil)
}

func (ix index) drop(tx *Tx, owner, member string) error {
	return tx.del(string(ix), key(owner, member))
}

// members returns the members of owner in key order.
func (ix index) members(tx *Tx, owner string) []string {
	prefix := key(owner, "")
	var out []string
	for k := range tx.within(string(ix), prefix) {
		out = append(out, string(k[len(prefix):]))
	}
	return out
}

const (
	familyPeople  = index("family_people")
	familyWearers = index("family_wearers")
	familyDevices = index("family_devices")
	staffDevices  = index("staff_devices")
	refs          = index("refs")
	wearerAlerts  = index("wearer_alerts")
)
