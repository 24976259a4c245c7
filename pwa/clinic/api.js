// The console's side of HTTP, and the contract with the server: every request
// the console makes is a function here, with the shape of its answer.
//
// All paths are under /api/clinic/ and need the staff cookie. Every error is
// {"error":{"code","message","field"}} and becomes an ApiError. Dates are
// "YYYY-MM-DD", instants RFC 3339 in UTC, missing values null or absent.
// The search text of wearers() is the one thing that may hold a name; the
// server must not log queries, and the console never puts it in the address bar.

/** @import { Summary, CallList, Visit, PracticeFigures, Outcome } from './types.js' */

/**
 * Who is signed in, and what the whole console needs.
 * @typedef {object} Me
 * @property {{id: string, name: string, role: 'clinician'|'desk'|'administrator'}} person
 * @property {{name: string, phone: string, zone: string}} practice
 * @property {string} today date at the practice
 * @property {string} now instant of the server's clock
 * @property {string} vapid_key public key for Web Push, base64url
 * @property {boolean} push whether this browser has a subscription stored
 * @property {string[]} on_duty names of those on duty now; empty when nobody is
 * @property {{id: string, name: string, role: string}[]} staff those an alert can be handed to
 * @property {Outcome[]} outcomes ways to close an alert (review.Outcomes)
 */

/**
 * @typedef {object} AlertHistory
 * @property {string} at instant
 * @property {string} what opened, worsened, pushed, mailed, shown, escalated, acknowledged, comment, handed-over, closed
 * @property {string} who_name empty for the program itself
 * @property {string} text
 * @property {number} [times] how often the same was said again, with nothing new
 * @property {string} [last] instant of the last time
 */

/**
 * What the symptom reports behind an alert say together (review.Episode).
 * @typedef {object} Episode
 * @property {string} headline empty for an alert without a report
 * @property {string} eye
 * @property {string} at instant of the headline's report
 * @property {{eye: string, sign: string, answer: string, at: string, since?: string}[]} seen
 * @property {string[]} denied
 * @property {string[]} open
 * @property {{at: string, level: string, steps: string[]}[]} told newest first
 * @property {string} began in words; empty for an instant
 * @property {{entry: string, at: string, text: string}[]} notes
 * @property {{at: string, text: string}[]} logged what the log of the nights has to do with it, newest first
 */

/** @typedef {{name: string, role: string, phone: string}} OnDuty phone: empty for none */

/** @typedef {{name: string, phone: string, relation?: string}} Contact somebody to phone who does not write in the log */

/**
 * One alert in the queue.
 * @typedef {object} Alert
 * @property {string} id
 * @property {string} wearer
 * @property {string} wearer_name
 * @property {string} wearer_code
 * @property {string} rule
 * @property {string} title what the clinic is told, one line
 * @property {'emergency'|'urgent'|'routine'|'note'} level
 * @property {'open'|'acknowledged'|'closed'} state
 * @property {string} opened instant the server opened it
 * @property {string} zone IANA zone in which the family wrote; the family's own when not known
 * @property {string} [began] instant the trouble began as reported; absent when not said
 * @property {'right'|'left'|'both'|''} eye
 * @property {string} [ack_by_name]
 * @property {string} [ack_at] instant
 * @property {string} [assigned_name] who it was handed to
 * @property {string} [desk_name] of a red flag: who of the desk has phoned; it stops nothing
 * @property {string} [desk_at] instant
 * @property {string} [spoken] instant the family was last reached by phone
 * @property {string} [outcome]
 * @property {string} step where delivery stands, in words: "sent to Dr A, not yet shown"
 * @property {string} [age] whole years
 * @property {string} [language] the family's, BCP 47
 * @property {Episode} episode what the reports behind it say together
 * @property {AlertHistory[]} history oldest first
 * @property {{name: string, phone: string, relation: string}[]} contact whom to call, in order
 */

/**
 * GET today.
 * @typedef {object} Today
 * @property {string} date
 * @property {CallList} calls who needs a call (review.NeedsCall): one page of them, and the order with how many there are
 * @property {number} page from 1
 * @property {number} pages
 * @property {number} total families to call, for the reason asked for
 * @property {VisitToday[]} visits booked for today, in order of time
 * @property {{name: string, phone: string, until: string|null, next: string, gap: Gap|null, second: string}} duty who answers now and next
 * @property {Record<string, {strip: string, wear: string, age: number, phones: {name: string, phone: string}[]|null}>} beside by wearer of the page
 */

/**
 * @typedef {object} VisitToday
 * @property {string} wearer
 * @property {string} name
 * @property {string} code
 * @property {string} time HH:MM, or empty
 * @property {Visit} visit
 */

/**
 * @typedef {object} WearerRow
 * @property {string} id
 * @property {string} name
 * @property {string} code
 * @property {number} age years, 0 when unknown
 * @property {string} family family id
 * @property {string} family_name
 * @property {string} first_night date, empty when not started
 * @property {string} last_heard date of the last entry received, empty when never
 * @property {string} strip the last 28 nights, one letter each
 * @property {string} wear the more careful state of both eyes tonight: none, rest or stop
 * @property {number} worn nights worn of the last 28
 * @property {number} answered nights worn or missed of the last 28; the rest is unknown
 * @property {string} next_recall date due or booked, empty when none
 * @property {boolean} overdue that date is past
 * @property {boolean} stopped lenses were stopped by agreement
 * @property {''|'emergency'|'urgent'|'routine'|'note'} alert highest level of an open alert
 */

/**
 * GET wearers?q=&page=&sort=&filter= ; 50 rows a page.
 * @typedef {object} WearerPage
 * @property {WearerRow[]} wearers
 * @property {number} page from 1
 * @property {number} pages
 * @property {number} total that match
 */

/** @typedef {'name'|'family'|'code'|'heard'|'recall'|'worn'} WearerSort */
/** @typedef {''|'alert'|'silent'|'overdue'|'new'|'stopped'} WearerFilter */

/**
 * One eye's lens, free of any brand. Millimetres and dioptres; null when not
 * entered.
 * @typedef {object} LensParameters
 * @property {number|null} base_curve_mm
 * @property {number|null} diameter_mm
 * @property {number|null} power
 * @property {string} design spherical or toric, or the practice's own words
 * @property {string} supplied date
 */

/**
 * One visit of the recall plan, as schedule.RecallStep.
 * @typedef {Record<string, unknown>} RecallStep
 */

/**
 * A care plan: every field of schedule.Plan, and those the practitioner adds.
 * @typedef {object} Plan
 * @property {number} version the server gives the next one
 * @property {string} from first night it applies to
 * @property {boolean} [sure] what is unlikely was asked about
 * @property {string} zone IANA zone at home
 * @property {string} first_night first night in lenses, empty while not agreed
 * @property {string} stopped first night without lenses, empty while wear goes on
 * @property {string} eyes both, right or left
 * @property {string} wear_from HH:MM
 * @property {string} wear_to HH:MM
 * @property {number} min_hours fewest hours in lenses
 * @property {string} care_system multipurpose, peroxide or other
 * @property {number} soak_minutes shortest disinfection
 * @property {number} deposit_removal_days 0 for not prescribed
 * @property {number} case_months 1 to 3
 * @property {number} lens_months 0 for not set
 * @property {number} holder_months 0 for not asked for
 * @property {number} acuity_every_days 0 for none
 * @property {RecallStep[]} recalls
 * @property {string} recalls_from
 * @property {string} insertion_at HH:MM of the reminder
 * @property {string} removal_at HH:MM
 * @property {string} evening_sight_at HH:MM
 * @property {string} quiet_from HH:MM
 * @property {string} quiet_to HH:MM
 * @property {string} remind_first teen or parent
 * @property {number} parent_after_minutes
 * @property {string} lock_screen_words neutral or plain
 * @property {string[]|null} off
 * @property {{from: string, to: string, reason: string}[]|null} pauses
 * @property {string[]} [care_items] fields of a care entry asked at each removal; absent means all
 * @property {number} baseline_right spherical equivalent before treatment, dioptres; 0 when not set
 * @property {number} baseline_left
 * @property {LensParameters} [right]
 * @property {LensParameters} [left]
 * @property {string} [remark] to the family
 * @property {string} [changed_by] name, filled by the server
 * @property {string} [changed_at] instant, filled by the server
 * @property {string} [why] reason for this version
 * @property {number} [base] on saving: the version this began from, 0 for none; another than the newest is a conflict
 * @property {string} [read_at] instant at which the family confirmed it, filled by the server
 */

/** @typedef {{sphere: number, cylinder: number, axis: number}} Refraction */

/**
 * POST suitability takes and gives what `calc suitability` does.
 * @typedef {object} SuitabilityRequest
 * @property {Refraction} right
 * @property {Refraction} left
 * @property {number} age_years
 */

/**
 * @typedef {object} SuitabilityEye
 * @property {Refraction} minus_cylinder
 * @property {string} range where the prescription falls
 * @property {string[]} reasons
 * @property {{name: string, sphere_to: number, cylinder_to: number, inside: boolean}[]} published regulators' ranges
 * @property {{nights: number, residual_d: number, least_d: number, most_d: number}[]} [course] spherical equivalent left on the morning after so many nights, between limits that nine eyes in ten of a published series lay in; absent where the model says nothing
 * @property {{sd_d: number, source: string}} [spread] that series
 */

/**
 * @typedef {object} Suitability
 * @property {SuitabilityEye} right
 * @property {SuitabilityEye} left
 * @property {string[]} contraindications_to_ask a yes is to be weighed
 * @property {string[]} readiness_to_ask a no is to be weighed
 * @property {string} decision "for the practitioner to decide"
 */

/**
 * One row of the alert table.
 * @typedef {object} Rule
 * @property {string} id
 * @property {string} level
 * @property {string} title
 * @property {string} when the condition in plain words
 * @property {string} exact the condition as the program has it
 * @property {string} family what the family is told
 * @property {string} clinic what the clinic is told
 * @property {string} basis
 */

/**
 * GET families/:id.
 * @typedef {object} Family
 * @property {string} id
 * @property {string} name
 * @property {string} zone
 * @property {string} language BCP 47, or empty
 * @property {Contact} second whom to phone when no parent answers
 * @property {{id: string, name: string, role: string, phone: string, wearer: string, invited_until: string, devices: {id: string, name: string, last_seen: string, revoked: boolean}[]}[]} people
 * @property {{id: string, name: string, code: string, birth: string}[]} wearers
 */

/** @typedef {{code: string, url: string, expires: string}} Invitation */

/** An answer of the server that is not a success. */
export class ApiError extends Error {
  /**
   * @param {number} status 0 when the server could not be reached
   * @param {string} code
   * @param {string} message fit to show
   * @param {string} field the field at fault, or empty
   */
  constructor(status, code, message, field) {
    super(message);
    this.name = 'ApiError';
    this.status = status;
    this.code = code;
    this.field = field;
  }
}

const UNREACHED = 'The server cannot be reached. What you see may be out of date.';

/**
 * @template T
 * @param {string} method
 * @param {string} path under /api/clinic/
 * @param {object} [body]
 * @returns {Promise<T>} the answer as the server's types say it is; the shape is not checked again here
 */
async function call(method, path, body) {
  /** @type {RequestInit} */
  const init = { method, credentials: 'same-origin', headers: { Accept: 'application/json' } };
  if (body) {
    init.headers = { Accept: 'application/json', 'Content-Type': 'application/json' };
    init.body = JSON.stringify(body);
  }
  let answer;
  try {
    answer = await fetch(`/api/clinic/${path}`, init);
  } catch {
    throw new ApiError(0, 'unreached', UNREACHED, '');
  }
  const text = await answer.text();
  if (!answer.ok) throw errorOf(answer.status, text);
  return JSON.parse(text || '{}');
}

/**
 * @param {number} status
 * @param {string} text
 */
function errorOf(status, text) {
  try {
    const { error } = JSON.parse(text);
    return new ApiError(status, error.code, error.message, error.field ?? '');
  } catch {
    return new ApiError(status, 'no-answer', `The server answered with status ${status}.`, '');
  }
}

/**
 * @param {Record<string, string|number|undefined>} values empty ones are left out
 */
function query(values) {
  const q = new URLSearchParams();
  for (const [k, v] of Object.entries(values)) if (v !== undefined && v !== '') q.set(k, String(v));
  const text = q.toString();
  return text ? `?${text}` : '';
}

/** @param {string} s */
const id = s => encodeURIComponent(s);

/** GET me. @returns {Promise<Me>} */
export const me = () => call('GET', 'me');

/** GET alerts: open and acknowledged ones, and those closed in the last 24 hours. @returns {Promise<{alerts: Alert[], duty: OnDuty[], now: string}>} */
export const alerts = () => call('GET', 'alerts');

/** POST alerts/:id/acknowledge. @param {string} alert @returns {Promise<{alert: Alert}>} */
export const acknowledge = alert => call('POST', `alerts/${id(alert)}/acknowledge`, {});

/**
 * Where one eye stands; state "none" is never "fine".
 * @typedef {{state: 'none'|'rest'|'stop', until?: string, causes: {id: string, kind: string, night: string, mark: string, left: string, from?: string}[]}} EyeWear
 */

/**
 * GET wearers/:id/wear.
 * @typedef {object} WearAnswer
 * @property {string} wearer
 * @property {string} night tonight at home
 * @property {{right: EyeWear, left: EyeWear}} wear
 * @property {string[]} causes ids of what holds, to be sent back with a resume
 * @property {Record<string, any>[]} entries causes and what either voice said, newest first
 * @property {Record<string, {read: {person: string, name: string, at: string}[]}>} receipts
 * @property {number} old_phones
 * @property {string} [incomplete_since]
 * @property {string} [review_by]
 */

/** @typedef {{kind: string, body: Record<string, unknown>}} Said an entry of the practice to be written in the family's log */

/** @param {string} wearer @returns {Promise<WearAnswer>} */
export const wear = wearer => call('GET', `wearers/${id(wearer)}/wear`);

/** POST wearers/:id/say: all or none. @param {string} wearer @param {{causes: string[], entries: Said[]}} said @returns {Promise<WearAnswer>} */
export const say = (wearer, said) => call('POST', `wearers/${id(wearer)}/say`, said);

/** POST alerts/:id/close. @param {string} alert @param {{outcome: string, note: string, decision: string, where: string, causes: string[], entries: Said[]}} how @returns {Promise<{alert: Alert}>} */
export const close = (alert, how) => call('POST', `alerts/${id(alert)}/close`, how);

/** POST alerts/:id/call: a try to phone. @param {string} alert @param {string} result reached, not-reached or left-word @param {string} text @returns {Promise<{alert: Alert}>} */
export const logCall = (alert, result, text) => call('POST', `alerts/${id(alert)}/call`, { result, text });

/** POST alerts/:id/reopen. @param {string} alert @param {string} text @returns {Promise<{alert: Alert}>} */
export const reopen = (alert, text) => call('POST', `alerts/${id(alert)}/reopen`, { text });

/** POST alerts/:id/comment. @param {string} alert @param {string} text @returns {Promise<{alert: Alert}>} */
export const comment = (alert, text) => call('POST', `alerts/${id(alert)}/comment`, { text });

/** POST alerts/:id/hand-over. @param {string} alert @param {string} to person id @returns {Promise<{alert: Alert}>} */
export const handOver = (alert, to) => call('POST', `alerts/${id(alert)}/hand-over`, { to });

/** GET today. @param {{reason: string, page: number}} ask reason: a rule, or empty for all @returns {Promise<Today>} */
export const today = ask => call('GET', `today${query(ask)}`);

/** POST follow-ups: somebody dealt with a reason to call. @param {{wearer: string, rule: string, outcome: string, note: string, until: string}} done @returns {Promise<object>} */
export const followUp = done => call('POST', 'follow-ups', done);

/** GET wearers. @param {{q: string, page: number, sort: WearerSort, filter: WearerFilter}} ask @returns {Promise<WearerPage>} */
export const wearers = ask => call('GET', `wearers${query(ask)}`);

/** GET wearers/:id/review. @param {string} wearer @param {string} from date, or empty for "since the last visit" @param {string} to date, or empty @returns {Promise<Summary>} */
export const review = (wearer, from, to) => call('GET', `wearers/${id(wearer)}/review${query({ from, to })}`);

/** GET wearers/:id/plan: every version, newest first, and the usual values to start from. @param {string} wearer @returns {Promise<{plans: Plan[], usual: Plan, wearer: {id: string, name: string, code: string, family: string}}>} */
export const plans = wearer => call('GET', `wearers/${id(wearer)}/plan`);

/** POST wearers/:id/plan: stores the next version. @param {string} wearer @param {Plan} plan @returns {Promise<{plan: Plan}>} */
export const savePlan = (wearer, plan) => call('POST', `wearers/${id(wearer)}/plan`, plan);

/** GET wearers/:id/visits: newest first. @param {string} wearer @returns {Promise<{visits: Visit[], due: {kind: string, due: string}[]}>} */
export const visits = wearer => call('GET', `wearers/${id(wearer)}/visits`);

/** POST wearers/:id/visits: stores a new visit (id empty) or changes one. @param {string} wearer @param {Visit} visit @param {boolean} sure what is unlikely was asked about @returns {Promise<{visit: Visit}>} */
export const saveVisit = (wearer, visit, sure) => call('POST', `wearers/${id(wearer)}/visits`, { ...visit, sure });

/** POST suitability. @param {SuitabilityRequest} ask @returns {Promise<Suitability>} */
export const suitability = ask => call('POST', 'suitability', ask);

/** GET practice. @param {string} from @param {string} to @returns {Promise<PracticeFigures>} */
export const practice = (from, to) => call('GET', `practice${query({ from, to })}`);

/** GET rules. @returns {Promise<{rules: Rule[]}>} */
export const rules = () => call('GET', 'rules');

/** @typedef {{id: string, merged?: string[], hazard: string, cause: string, situation: string, harm: string, severity: number, probability: number, controls: {what: string, code: string[], tests: string[]}[], status: string, left?: string, by?: string, why?: string}} Hazard */
/**
 * The safety case.
 * @typedef {object} SafetyAnswer
 * @property {{for: string, users: string[], setting: string[], is_not: string[], limits: string[], questions: {ask: string, read: string}[], incident: string}} purpose
 * @property {{severity: string[], probability: string[], scores: string, areas: {name: string, requirement: string, hazards: Hazard[]}[]}} log
 * @property {{part: string, version?: string, licence: string, risk: string, why: string, faults: string}[]} parts
 * @property {string} contact of whoever runs the server; empty for none
 */
/** GET safety. @returns {Promise<SafetyAnswer>} */
export const safety = () => call('GET', 'safety');

/** GET families/:id. @param {string} family @returns {Promise<Family>} */
export const family = family => call('GET', `families/${id(family)}`);

/** @typedef {{name: string, code: string, birth: string, sure?: boolean}} WearerForm birth: YYYY-MM-DD or empty */

/** PUT families/:id. @param {string} family @param {{name: string, zone: string, language: string, second: Contact}} to @returns {Promise<Family>} */
export const changeFamily = (family, to) => call('PUT', `families/${id(family)}`, to);

/** POST families/:id/wearers. @param {string} family @param {WearerForm} wearer @returns {Promise<Family>} */
export const addWearer = (family, wearer) => call('POST', `families/${id(family)}/wearers`, wearer);

/** PUT wearers/:id. @param {string} wearer @param {WearerForm} to @returns {Promise<Family>} */
export const changeWearer = (wearer, to) => call('PUT', `wearers/${id(wearer)}`, to);

/** DELETE wearers/:id, of whom nothing is stored. @param {string} wearer @returns {Promise<Family>} */
export const dropWearer = wearer => call('DELETE', `wearers/${id(wearer)}`);

/** POST families/:id/people; wearer is whom a teen is. @param {string} family @param {{name: string, role: string, phone: string, wearer?: string}} person @returns {Promise<Family>} */
export const addPerson = (family, person) => call('POST', `families/${id(family)}/people`, person);

/** PUT families/:id/people/:person. @param {string} family @param {string} person @param {{name: string, phone: string}} to @returns {Promise<Family>} */
export const changePerson = (family, person, to) => call('PUT', `families/${id(family)}/people/${id(person)}`, to);

/** DELETE families/:id/people/:person. @param {string} family @param {string} person @returns {Promise<Family>} */
export const dropPerson = (family, person) => call('DELETE', `families/${id(family)}/people/${id(person)}`);

/** POST families: a new family with its first wearer and people. @param {{name: string, zone: string, language: string, second: Contact, wearer: WearerForm, people: {name: string, role: string, phone: string}[]}} wanted @returns {Promise<Family>} */
export const newFamily = wanted => call('POST', 'families', wanted);

/** POST families/:id/invitations. @param {string} family @param {string} person @returns {Promise<Invitation>} */
export const invite = (family, person) => call('POST', `families/${id(family)}/invitations`, { person });

/** POST push/subscription: the JSON of a PushSubscription. @param {PushSubscriptionJSON} subscription @returns {Promise<object>} */
export const subscribe = subscription => call('POST', 'push/subscription', subscription);

/** POST push/test. @returns {Promise<object>} */
export const testPush = () => call('POST', 'push/test', {});

/**
 * Options of WebAuthn as the server sends them: bytes are base64url.
 * @typedef {Omit<PublicKeyCredentialRequestOptions, 'challenge'|'allowCredentials'> & {challenge: string, allowCredentials?: {id: string}[]}} AssertionOptions
 * @typedef {Omit<PublicKeyCredentialCreationOptions, 'challenge'|'user'|'excludeCredentials'> & {challenge: string, user: {id: string, name: string, displayName: string}, excludeCredentials?: {id: string}[]}} CreationOptions
 */

/** @typedef {{id: string, name: string, created: string, last_used?: string}} Passkey */
/** @typedef {{id: string, name: string, created: string, seen: string, expires: string, this: boolean}} Session */

/**
 * One row of the list of visits to chase.
 * @typedef {object} RecallRow
 * @property {string} wearer
 * @property {string} name
 * @property {string} code
 * @property {string} family
 * @property {string} kind
 * @property {string} due
 * @property {string} state due, overdue, missed or booked
 * @property {number} overdue days past due
 * @property {string} date of the appointment, booked or missed
 * @property {string} time
 * @property {boolean} new_lens asked for by a new lens, not by the plan
 * @property {{on: string, how: string, outcome?: string, by?: string}|null} last_contact
 * @property {string} last_heard
 */

/** POST sign-in: uses a one-time link up. @param {string} code @returns {Promise<object>} */
export const linkSignIn = code => call('POST', 'sign-in', { code });

/** POST sign-out. @returns {Promise<object>} */
export const signOut = () => call('POST', 'sign-out', {});

/** POST sign-out-everywhere. @returns {Promise<object>} */
export const signOutEverywhere = () => call('POST', 'sign-out-everywhere', {});

/** GET waiting: what a locked window may know. @returns {Promise<{open: number, emergencies: number}>} */
export const waiting = () => call('GET', 'waiting');

/** POST passkey/challenge. @returns {Promise<{publicKey: AssertionOptions}>} */
export const challenge = () => call('POST', 'passkey/challenge', {});

/** POST passkey/sign-in. @param {object} credential @returns {Promise<object>} */
export const passkeySignIn = credential => call('POST', 'passkey/sign-in', { credential });

/** POST passkey/confirm. @param {object} credential @returns {Promise<object>} */
export const passkeyConfirm = credential => call('POST', 'passkey/confirm', { credential });

/** POST passkey/new. @returns {Promise<{publicKey: CreationOptions}>} */
export const newPasskey = () => call('POST', 'passkey/new', {});

/** POST passkeys. @param {string} name @param {object} credential @returns {Promise<object>} */
export const storePasskey = (name, credential) => call('POST', 'passkeys', { name, credential });

/** GET passkeys: one's own. @returns {Promise<{passkeys: Passkey[]}>} */
export const passkeys = () => call('GET', 'passkeys');

/** DELETE passkeys/:id. @param {string} key @returns {Promise<object>} */
export const deletePasskey = key => call('DELETE', `passkeys/${id(key)}`);

/** GET sessions: one's own. @returns {Promise<{sessions: Session[]}>} */
export const sessions = () => call('GET', 'sessions');

/** DELETE sessions/:id. @param {string} session @returns {Promise<object>} */
export const endSession = session => call('DELETE', `sessions/${id(session)}`);

/** GET recalls, 100 a page. @param {{state: string, page: number}} ask state: empty for all @returns {Promise<{date: string, counts: {due: number, overdue: number, missed: number, booked: number}, recalls: RecallRow[], page: number, pages: number, total: number}>} */
export const recalls = ask => call('GET', `recalls${query(ask)}`);

/** @typedef {{id: string, name: string, role: string, mail: string, phone: string, gone: boolean, passkeys: number, sessions: number}} StaffMember */

/** GET staff, for an administrator. @returns {Promise<{staff: StaffMember[]}>} */
export const staff = () => call('GET', 'staff');

/** POST staff: a new member, with a one-time link. @param {{name: string, role: string, mail: string, phone: string}} wanted @returns {Promise<{id: string, url: string, expires: string}>} */
export const addStaff = wanted => call('POST', 'staff', wanted);

/** POST staff/:id/link. @param {string} person @returns {Promise<{id: string, url: string, expires: string}>} */
export const linkStaff = person => call('POST', `staff/${id(person)}/link`, {});

/** POST staff/:id/mail: a test mail with a number in it. @param {string} person @returns {Promise<{person: string, sent: string, arrived?: string}>} */
export const trialMail = person => call('POST', `staff/${id(person)}/mail`, {});

/** POST mail/arrived: the number in the test mail. @param {string} number @returns {Promise<{person: string, sent: string, arrived?: string}>} */
export const mailArrived = number => call('POST', 'mail/arrived', { number });

/** PUT staff/:id. @param {string} person @param {{name: string, role: string, mail: string, phone: string}} to @returns {Promise<unknown>} */
export const changeStaff = (person, to) => call('PUT', `staff/${id(person)}`, to);

/** DELETE staff/:id: everything of a member who left ends. @param {string} person @returns {Promise<object>} */
export const dropStaff = person => call('DELETE', `staff/${id(person)}`);

/** DELETE devices/:id: takes a family's device out of use. @param {string} device @returns {Promise<object>} */
export const revokeDevice = device => call('DELETE', `devices/${id(device)}`);

/** The address of one wearer's file as an HL7 FHIR R4 bundle. @param {string} wearer */
export const fhirUrl = wearer => `/api/clinic/wearers/${id(wearer)}/fhir`;

/** The address of the list of recalls as CSV. */
export const RECALLS_URL = '/api/clinic/recalls.csv';

/** The address of what each column of the CSV means. */
export const DICTIONARY_URL = '/api/clinic/export-dictionary.csv';

/** The address of GET export.csv, a file download. */
export const EXPORT_URL = '/api/clinic/export.csv';

/** The address of GET families/:id/export, an archive. @param {string} family */
export const archiveUrl = family => `/api/clinic/families/${id(family)}/export`;

/**
 * GET retention: how long records are kept, and whose time is over.
 * @typedef {object} Retention
 * @property {number} years 0: for good
 * @property {number} until_age
 * @property {number} audit_years of a line of the audit log; 0: for good
 * @property {number} held_years of an entry of a newer app, kept unread; 0: for good
 * @property {{family: string, last: string, until: string}[]} due
 * @property {number} audit_due lines whose time is over
 * @property {number} held entries of a newer app, kept unread
 * @property {number} held_due of them, those whose time is over
 */

/** @returns {Promise<Retention>} */
export const retention = () => call('GET', 'retention');

/** PUT retention. @param {Pick<Retention, 'years'|'until_age'|'audit_years'|'held_years'>} rule @returns {Promise<Retention>} */
export const saveRetention = rule => call('PUT', 'retention', rule);

/** DELETE audit: cuts the lines off whose time is over. @returns {Promise<Retention>} */
export const cutAudit = () => call('DELETE', 'audit');

/** DELETE held: forgets the entries kept unread whose time is over. @returns {Promise<Retention>} */
export const forgetHeld = () => call('DELETE', 'held');

/** DELETE families/:id: erases it for good. @param {string} family @returns {Promise<object>} */
export const eraseFamily = family => call('DELETE', `families/${id(family)}`);

/** POST families/:id/come-of-age. @param {string} family @param {string} person @param {string[]} keep those who keep access @returns {Promise<Family>} */
export const comeOfAge = (family, person, keep) => call('POST', `families/${id(family)}/come-of-age`, { person, keep });

/** GET audit: lines before one, newest first; 0 for the newest. @param {number} before @returns {Promise<{lines: {seq: number, at: string, who: string, name: string, did: string, what: string}[], older: number, broken: number, cut: number}>} */
export const audit = before => call('GET', `audit${query({ before: before || undefined })}`);

/** GET invitations: those one has made oneself. @returns {Promise<{invitations: {id: string, person: string, name: string, created: string, expires: string}[]}>} */
export const invitations = () => call('GET', 'invitations');

/** DELETE invitations/:id. @param {string} invitation @returns {Promise<object>} */
export const withdraw = invitation => call('DELETE', `invitations/${id(invitation)}`);

/** @typedef {{weekday: number, from: string, to: string}} ClinicHours weekday 0 Sunday to 6 Saturday; HH:MM */
/** @typedef {{weekday: number, from: string, to: string, person: string, deputy: string}} Slot of every week; an end at or before the start is on the day after */
/** @typedef {{person: string, from: string, to: string}} Absence dates, both included */
/** @typedef {{from: string, to: string, hours: boolean}} Gap instants between which nobody is on duty; hours: within the clinic's own */
/** @typedef {{name: string, label: string, default: number, min: number, max: number, unit: string, why: string}} Limit of the alert rules */
/** @typedef {{what: string, text: string}} NotSet */

/**
 * Everything a practice decides for itself.
 * @typedef {object} Settings
 * @property {{name: string, zone: string, country?: string, owner_mail?: string, contacts: {clinic: string, phone: string, zone: string, hours: ClinicHours[], closed: string[], after_hours_phone: string, emergency_number: string, emergency_place?: {name: string, address: string, hours: string}}}} practice
 * @property {{zone: string, slots: Slot[], off: Absence[]}} rota
 * @property {Record<string, number>} policy minutes of escalation
 * @property {Record<string, number>} rule_settings a limit that is absent has its usual value
 * @property {string} revision what they were read as; a save that names another than the stored one is a conflict
 */

/** @typedef {Settings & {gaps: Gap[], limits: Limit[], not_set: NotSet[]}} SettingsAnswer gaps over the next 28 days */

/** GET settings. @returns {Promise<SettingsAnswer>} */
export const settings = () => call('GET', 'settings');

/** PUT settings, all or nothing; a refusal names each fault on a line of its own, "field: text". @param {Settings} wanted @returns {Promise<SettingsAnswer>} */
export const saveSettings = wanted => call('PUT', 'settings', wanted);

/** GET calendar: whether the practice has an address for calendar programs. @returns {Promise<{made: string|null}>} */
export const calendar = () => call('GET', 'calendar');

/** POST calendar: makes the address anew; it is shown once. @returns {Promise<{address: string}>} */
export const newCalendar = () => call('POST', 'calendar', {});

/** DELETE calendar: ends the address. @returns {Promise<object>} */
export const endCalendar = () => call('DELETE', 'calendar');
