package pairs

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
//	lenses         wearer|lens                -> course.Lens
//	endings        wearer|ending              -> course.Ending: wear was ended, and what followed
//	events         wearer|event               -> course.AdverseEvent, with its earlier versions
//	candidates     wearer|id                  -> course.Candidate: what was answered before fitting
//	attachments    wearer|attachment          -> course.Attachment
//	attached       wearer|attachment|u64 part -> its bytes, 48 KiB a part
//	invitations    SHA-256 of the code        -> Invitation
//	credentials    SHA-256 of the token       -> Credential
//	entries        family|u64 fseq            -> 8 bytes rolling checksum, then care.Entry
//	received       family|u64 fseq/32         -> 16 bytes of the id of each of those entries
//	received       family|all ones            -> head: watermark of each device, its own form
//	device_seqs    device|u64 dseq            -> entry; only beyond a gap
//	refs           family|target entry|referrer -> empty
//	nights         wearer|YYYY-MM-DD          -> nightRecord, its own form
//	wear           wearer|u64 fseq            -> family; has a part in the wear state or is of either voice
//	words          wearer|entry               -> family; a person of the practice has to read it
//	words_read     wearer|entry or private    -> WordsRead
//	private        wearer|id                  -> PrivateWords, for clinicians alone
//	claims         wearer|entry               -> care.Claim: a decision that only a phone holds
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
//	waiting        family|key                 -> a reminder that nobody has taken yet
//	followups      wearer|reason              -> FollowUp
//	calendars      SHA-256 of the secret      -> Calendar
//	calendar_events family or ""|wearer|uid   -> CalendarEvent, as last shown
//	audit          u64 sequence               -> Audit, hash-chained
//	consents       person|version or count    -> Consent
//	family_news    instant|device and kind    -> FamilyNews
//	passkeys       person|credential id       -> Passkey
//	tombstones     tombstone                  -> Tombstone
//	quarantine     bucket|key                 -> Unreadable; of a record that cannot be read
//	leaving        family                     -> Leaving; erased, and can be taken back for a day
//	leaving_pairs  family|u64                 -> bucket, key and value of a pair of such a family
//	digests        bucket                     -> u64 pairs, u64 sum of their content sums

// Bucket describes the pairs of a bucket.
type Bucket struct {
	Name string
	// Form describes the key: s is text up to a zero byte or the end, n is a u64.
	Form string
	// Secret keys and values are hashes and keys of devices: nobody is shown them.
	Secret bool
}

// Buckets are all there are, in the order in which a record is exported.
var Buckets = []Bucket{
	{"meta", "s", false},
	{"families", "s", false},
	{"people", "s", false},
	{"family_people", "ss", false},
	{"wearers", "s", false},
	{"family_wearers", "ss", false},
	{"devices", "s", false},
	{"family_devices", "ss", false},
	{"staff_devices", "ss", false},
	{"plans", "sn", false},
	{"visits", "ss", false},
	{"lenses", "ss", false},
	{"endings", "ss", false},
	{"events", "ss", false},
	{"candidates", "ss", false},
	{"attachments", "ss", false},
	{"attached", "ssn", false},
	{"invitations", "s", true},
	{"credentials", "s", true},
	{"entries", "sn", false},
	{"received", "sn", false},
	{"device_seqs", "sn", false},
	{"refs", "sss", false},
	{"nights", "ss", false},
	{"wear", "sn", false},
	{"words", "ss", false},
	{"words_read", "ss", false},
	{"private", "ss", false},
	{"claims", "ss", false},
	{"held", "ss", false},
	{"conflicts", "sn", false},
	{"alerts", "s", false},
	{"wearer_alerts", "ss", false},
	{"live_alerts", "s", false},
	{"outbox", "ssss", false},
	{"outbox_due", "nssss", false},
	{"subscriptions", "s", true},
	{"due", "ns", false},
	{"due_at", "s", false},
	{"fired", "sss", false},
	{"waiting", "ss", false},
	{"followups", "ss", false},
	{"calendars", "s", true},
	{"calendar_events", "sss", false},
	{"audit", "n", false},
	{"consents", "ss", false},
	{"family_news", "ss", false},
	{"passkeys", "ss", false},
	{"tombstones", "s", false},
	{QuarantineBucket, "ss", false},
	{"leaving", "s", false},
	{"leaving_pairs", "sn", false},
	{DigestBucket, "s", false},
}

// FormOf describes a bucket by its name.
func FormOf(name string) Bucket {
	for _, b := range Buckets {
		if b.Name == name {
			return b
		}
	}
	return Bucket{Name: name}
}
