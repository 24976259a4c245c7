// A text for the contract with whoever keeps the server or its backups for the
// practice, point by point after the General Data Protection Regulation, article
// 28(3). In English only: a lawyer where the practice is reads it before anybody signs.

export const PROCESSOR = [
  'This agreement is between [the practice, address] (the controller) and [the company, address] (the processor).',
  'Subject and duration. The processor keeps [the server / its backups / its network] on which the practice runs Nightkeep, from [date] until the main contract ends.',
  'Nature and purpose. Storing and transmitting the record of lenses worn overnight between families and the practice. The processor has no need to read it.',
  'Data and people. Names, dates of birth, telephone numbers; health data about eyes, sight and lens wear; who opened which record. It is about wearers, mostly children, their families, and the staff of the practice.',
  '(a) The processor acts on documented instructions of the practice only, also about transfers to other countries, and says so when it thinks an instruction breaks the law.',
  '(b) Everybody who works for the processor and could see the data is bound to confidentiality.',
  '(c) The processor keeps the security that article 32 asks for: encrypted disks and backups, access by named people only, updates, and a record of who had access.',
  '(d) The processor takes in nobody else without written leave, and binds whoever it takes in to the same duties.',
  '(e) The processor helps the practice to answer people who ask for a copy, a correction, erasure or an end of processing.',
  '(f) The processor helps with security, with breaches and with impact assessments. It tells the practice of a breach without undue delay, within [24] hours, with what it knows.',
  '(g) At the end the processor gives the data back or erases it, as the practice chooses, backups too, and confirms it in writing.',
  '(h) The processor shows what proves all of this, and lets the practice or its auditor look.',
  'Place, date, signatures.',
];
