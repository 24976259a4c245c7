// The console's side of HTTP, and the contract with the server: every request
// the console makes is a function here, with the shape of its answer.
//
// All paths are under /api/clinic/ and need the staff cookie. Every error is
// {"error":{"code","message","field"}} and becomes an ApiError. Dates are
// "YYYY-MM-DD", instants RFC 3339 in UTC, missing values null or absent.
// The search text of wearers() is the one thing that may hold a name; the
// server must not log queries, and the console never puts it in the address bar.

import { readable } from './format.js';
import { inOwnWords, refusal } from './heard.js';
import { tr } from './text.js';

/** @import { Schemas, Summary, Visit, PracticeFigures } from './types.js' */

/** @typedef {Schemas['ClinicMe']} Me */

/** @typedef {Schemas['AlertEvent']} AlertHistory */

/** @typedef {Schemas['Episode']} Episode */

/** @typedef {Schemas['OnDutyNow']} OnDuty */

/** @typedef {Schemas['CareContact']} Contact */

/** @typedef {Schemas['AlertView']} Alert */

/** @typedef {Schemas['TodayReply']} Today */

/** @typedef {Schemas['VisitToday']} VisitToday */

/** @typedef {Schemas['WearerRow']} WearerRow */

/** @typedef {Schemas['WearerPage']} WearerPage */

/** @typedef {'name'|'family'|'code'|'heard'|'recall'|'worn'} WearerSort */
/** @typedef {''|'alert'|'silent'|'overdue'|'new'|'held'|'ended'} WearerFilter */

/** @typedef {Schemas['LensParameters']} LensParameters */

/** @typedef {Schemas['RecallStep']} RecallStep */

/** @typedef {Schemas['PlanDoc']} Plan */

/** @typedef {Schemas['Refraction']} Refraction */

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

/** @typedef {Schemas['ClinicRuleRow']} Rule */

/** @typedef {Schemas['FamilyDetail']} Family */

/** @typedef {Schemas['Invitation']} Invitation */

/** An answer of the server that is not a success. */
export class ApiError extends Error {
  /**
   * @param {number} status 0 when the server could not be reached
   * @param {string} code
   * @param {string} message fit to show
   * @param {string} field the field at fault, or empty
   * @param {Schemas['Reading']} [reading] of the code "own-words": what the family would read
   */
  constructor(status, code, message, field, reading) {
    super(message);
    this.name = 'ApiError';
    this.status = status;
    this.code = code;
    this.field = field;
    this.reading = reading;
    /** What was answered in the request that came to this. @type {Answer} */
    this.answered = {};
  }
}

/** What somebody at the console answered to a question of the server: sure, that what is unlikely is meant; yes, that own words were read beside what the phones say. @typedef {{sure?: boolean, yes?: string}} Answer */

/** Whether a refusal is a question, which a yes answers. @param {ApiError|undefined} error */
export const isQuestion = error => error?.code === 'unlikely' || error?.code === 'own-words';

/** Paths that a page asks by itself: they are no use of the window (`unattended` of the server). */
const UNATTENDED = ['alerts', 'waiting'];

let used = Date.now();
/** @returns {number} when somebody at this window last had an answer of the server, Unix ms */
export const lastUsed = () => used;

/** @type {() => void} */
let fellAsleep = () => {};
/** Calls when the server says that nobody has used this window for too long. @param {() => void} job */
export const onAsleep = job => {
  fellAsleep = job;
};

const UNREACHED = tr('The server cannot be reached. What you see may be out of date.');

/**
 * @template T
 * @param {string} method
 * @param {string} path under /api/clinic/
 * @param {object} [body]
 * @param {boolean} [byItself] nobody at the window asked for it
 * @returns {Promise<T>} the answer as the server's types say it is; the shape is not checked again here
 */
async function call(method, path, body, byItself = UNATTENDED.includes(path)) {
  /** @type {Record<string, string>} */
  const headers = { Accept: 'application/json' };
  if (byItself) headers['Nightkeep-By-Itself'] = '1';
  /** @type {RequestInit} */
  const init = { method, credentials: 'same-origin', headers };
  if (body) {
    headers['Content-Type'] = 'application/json';
    init.body = JSON.stringify(body);
  }
  let answer;
  try {
    answer = await fetch(`/api/clinic/${path}`, init);
  } catch {
    throw new ApiError(0, 'unreached', UNREACHED, '');
  }
  const text = await answer.text();
  if (!answer.ok) {
    const error = errorOf(answer.status, text);
    const { sure, yes } = /** @type {Answer} */ (body ?? {});
    error.answered = { sure, yes };
    if (error.code === 'session-idle') fellAsleep();
    throw error;
  }
  if (!byItself) used = Date.now();
  return inOwnWords(JSON.parse(text || '{}'));
}

/** A full disk: what the server says of it is for a family's phone, which keeps what was written; this page does not. */
const NOT_STORED = tr(
  'The server cannot store anything just now. Nothing of this was saved, and nothing is sent again by itself: leave this page open, note it on paper, tell an administrator, and try again.',
);

/**
 * @param {number} status
 * @param {string} text
 */
function errorOf(status, text) {
  try {
    const { error } = JSON.parse(text);
    if (error.code === 'cannot-store') return new ApiError(status, error.code, NOT_STORED, '');
    return new ApiError(status, error.code, readable(refusal(error.message)), error.field ?? '', error.reading);
  } catch {
    return new ApiError(status, 'no-answer', tr('The server answered with status {status}.', { status }), '');
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

/** GET me. @param {boolean} [byItself] it is the page that asks, which keeps no session awake @returns {Promise<Me>} */
export const me = byItself => call('GET', 'me', undefined, byItself);

/** GET alerts: open and acknowledged ones, and those closed in the last 24 hours. @returns {Promise<{alerts: Alert[], duty: OnDuty[], lost: number, blind: boolean, now: string}>} */
export const alerts = () => call('GET', 'alerts');

/** POST alerts/:id/acknowledge. @param {string} alert @returns {Promise<{alert: Alert}>} */
export const acknowledge = alert => call('POST', `alerts/${id(alert)}/acknowledge`, {});

/** @typedef {Schemas['EyeWear']} EyeWear */

/** @typedef {Schemas['WearView']} WearAnswer */

/** @typedef {{kind: string, body: Record<string, unknown>}} Said an entry of the practice to be written in the family's log */

/** @param {string} wearer @returns {Promise<WearAnswer>} */
export const wear = wearer => call('GET', `wearers/${id(wearer)}/wear`);

/** POST wearers/:id/say: all or none. @param {string} wearer @param {{causes: string[], entries: Said[], cleared?: string, lens?: string, known?: string[]} & Answer} said @returns {Promise<WearAnswer>} */
export const say = (wearer, said) => call('POST', `wearers/${id(wearer)}/say`, said);

/** DELETE wearers/:id/claims/:entry: what only a phone holds is put away. @param {string} wearer @param {string} entry @returns {Promise<object>} */
export const dismissClaim = (wearer, entry) => call('DELETE', `wearers/${id(wearer)}/claims/${id(entry)}`);

/** POST alerts/:id/close. @param {string} alert @param {{outcome: string, note: string, decision: string, where: string, causes: string[], entries: Said[], cleared?: string, lens?: string, known?: string[]} & Answer} how @returns {Promise<{alert: Alert}>} */
export const close = (alert, how) => call('POST', `alerts/${id(alert)}/close`, how);

/** POST alerts/:id/call: a try to phone. @param {string} alert @param {string} result reached, not-reached or left-word @param {string} text @returns {Promise<{alert: Alert}>} */
export const logCall = (alert, result, text) => call('POST', `alerts/${id(alert)}/call`, { result, text });

/** POST alerts/:id/reopen. @param {string} alert @param {string} text @returns {Promise<{alert: Alert}>} */
export const reopen = (alert, text) => call('POST', `alerts/${id(alert)}/reopen`, { text });

/** GET archive: closed alerts, newest closing first. @param {{wearer?: string, outcome?: string, from?: string, to?: string, before?: string}} ask @returns {Promise<Schemas['ArchivePage']>} */
export const archive = ask => call('GET', `archive${query(ask)}`);

/** POST alerts/:id/comment. @param {string} alert @param {string} text @returns {Promise<{alert: Alert}>} */
export const comment = (alert, text) => call('POST', `alerts/${id(alert)}/comment`, { text });

/** POST alerts/:id/hand-over. @param {string} alert @param {string} to person id @returns {Promise<{alert: Alert}>} */
export const handOver = (alert, to) => call('POST', `alerts/${id(alert)}/hand-over`, { to });

/** GET today. @param {{reason: string, page: number}} ask reason: a rule, or empty for all @param {boolean} [byItself] @returns {Promise<Today>} */
export const today = (ask, byItself) => call('GET', `today${query(ask)}`, undefined, byItself);

/** POST follow-ups: somebody dealt with a reason to call. @param {{wearer: string, rule: string, outcome: string, note: string, until: string, read?: string[]}} done @returns {Promise<object>} */
export const followUp = done => call('POST', 'follow-ups', done);

/** POST wearers/:id/read: words of the family. @param {string} wearer @param {string[]} read @returns {Promise<object>} */
export const markRead = (wearer, read) => call('POST', `wearers/${id(wearer)}/read`, { read });

/** GET wearers/:id/private: what a teen wrote to the clinicians alone. @param {string} wearer @returns {Promise<{words: {id: string, by: string, at: string, text: string}[]}>} */
export const privateWords = wearer => call('GET', `wearers/${id(wearer)}/private`);

/** GET wearers. @param {{q: string, page: number, sort: WearerSort, filter: WearerFilter}} ask @returns {Promise<WearerPage>} */
export const wearers = ask => call('GET', `wearers${query(ask)}`);

/** GET wearers/:id/review. @param {string} wearer @param {string} from date, or empty for "since the last visit" @param {string} to date, or empty @param {boolean} [byItself] @returns {Promise<Summary>} */
export const review = (wearer, from, to, byItself) =>
  call('GET', `wearers/${id(wearer)}/review${query({ from, to })}`, undefined, byItself);

/** GET wearers/:id/review/mark: another one once that review says anything else. The page asks by itself. @param {string} wearer @param {string} from @param {string} to @returns {Promise<{mark: string}>} */
export const reviewMark = (wearer, from, to) =>
  call('GET', `wearers/${id(wearer)}/review/mark${query({ from, to })}`, undefined, true);

/** GET wearers/:id/plan: every version, newest first, and the usual values to start from. @param {string} wearer @returns {Promise<{plans: Plan[], usual: Plan, birth?: string, wear: {right: EyeWear, left: EyeWear}, wearer: {id: string, name: string, code: string, family: string}}>} */
export const plans = wearer => call('GET', `wearers/${id(wearer)}/plan`);

/** POST wearers/:id/plan: stores the next version. @param {string} wearer @param {Plan} plan @returns {Promise<{plan: Plan}>} */
export const savePlan = (wearer, plan) => call('POST', `wearers/${id(wearer)}/plan`, plan);

/** GET wearers/:id/visits: newest first. @param {string} wearer @returns {Promise<{visits: Visit[], due: {kind: string, due: string, booked: string}[]}>} */
export const visits = wearer => call('GET', `wearers/${id(wearer)}/visits`);

/** POST wearers/:id/visits: stores a new visit (id empty) or changes one. @param {string} wearer @param {Visit} visit @param {boolean} sure what is unlikely was asked about @returns {Promise<{visit: Visit}>} */
export const saveVisit = (wearer, visit, sure) => call('POST', `wearers/${id(wearer)}/visits`, { ...visit, sure });

/** POST suitability. @param {SuitabilityRequest} ask @returns {Promise<Suitability>} */
export const suitability = ask => call('POST', 'suitability', ask);

/** GET practice. @param {string} from @param {string} to @returns {Promise<PracticeFigures>} */
export const practice = (from, to) => call('GET', `practice${query({ from, to })}`);

/** GET rules. @returns {Promise<RuleList>} */
export const rules = () => call('GET', 'rules');

/** @typedef {Schemas['RuleList']} RuleList */
/** POST rules/approve: the table in force, which was read. @returns {Promise<Schemas['Approval']>} */
export const approveRules = () => call('POST', 'rules/approve', {});

/** @typedef {Schemas['OldPhones']} OldPhones */
/** GET old-phones: whose app advises by an older table. @returns {Promise<OldPhones>} */
export const oldPhones = () => call('GET', 'old-phones');

/** POST old-phones: presses the table in force. @returns {Promise<OldPhones>} */
export const pressRules = () => call('POST', 'old-phones', {});

/** @typedef {Schemas['Hazard']} Hazard */
/** @typedef {Schemas['SafetyReply']} SafetyAnswer the safety case */
/** GET safety. @returns {Promise<SafetyAnswer>} */
export const safety = () => call('GET', 'safety');

/** GET families/:id. @param {string} family @returns {Promise<Family>} */
export const family = family => call('GET', `families/${id(family)}`);

/** @typedef {Schemas['WearerForm']} WearerForm */

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

/** PUT families/:id/people/:person/authority: a statement in one's own name. @param {string} family @param {string} person @param {string} basis @returns {Promise<Family>} */
export const stateAuthority = (family, person, basis) =>
  call('PUT', `families/${id(family)}/people/${id(person)}/authority`, { basis });

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

/** @typedef {Schemas['PasskeyView']} Passkey */
/** @typedef {Schemas['SessionView']} Session */

/** @typedef {Schemas['RecallRow']} RecallRow */

/** POST sign-in: uses a one-time link up. @param {string} code @returns {Promise<object>} */
export const linkSignIn = code => call('POST', 'sign-in', { code });

/** POST sign-out. @returns {Promise<object>} */
/** Says that what a restore took back is seen to. */
export const seenToLacks = () => call('POST', 'restored', {});

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

/** PUT language: one's own of the console, empty for the browser's. @param {string} language @returns {Promise<object>} */
export const setLanguage = language => call('PUT', 'language', { language });

/** GET passkeys: one's own. @returns {Promise<{passkeys: Passkey[]}>} */
export const passkeys = () => call('GET', 'passkeys');

/** DELETE passkeys/:id. @param {string} key @returns {Promise<object>} */
export const deletePasskey = key => call('DELETE', `passkeys/${id(key)}`);

/** GET sessions: one's own. @returns {Promise<{sessions: Session[]}>} */
export const sessions = () => call('GET', 'sessions');

/** DELETE sessions/:id. @param {string} session @returns {Promise<object>} */
export const endSession = session => call('DELETE', `sessions/${id(session)}`);

/** GET recalls, 100 a page. @param {{state: string, page: number}} ask state: empty for all @returns {Promise<{date: string, counts: {all: number, due: number, overdue: number, missed: number, booked: number}, recalls: RecallRow[], page: number, pages: number, total: number}>} */
export const recalls = ask => call('GET', `recalls${query(ask)}`);

/** @typedef {Schemas['StaffMember']} StaffMember */
/** @typedef {Schemas['Reach']} Reach */

/** GET staff, for an administrator. @returns {Promise<{staff: StaffMember[]}>} */
export const staff = () => call('GET', 'staff');

/** @typedef {Schemas['StaffLink']} StaffLink */

/** GET privacy. @returns {Promise<Schemas['PrivacyReply']>} */
export const privacy = () => call('GET', 'privacy');

/** PUT privacy: everybody is asked again. @param {Schemas['Privacy']} said @returns {Promise<Schemas['PrivacyReply']>} */
export const savePrivacy = said => call('PUT', 'privacy', said);

/** GET breaches. @returns {Promise<Schemas['BreachList']>} */
export const breaches = () => call('GET', 'breaches');

/** POST breaches. @param {Schemas['BreachFacts']} facts @returns {Promise<Schemas['BreachList']>} */
export const addBreach = facts => call('POST', 'breaches', facts);

/** POST breaches/:id/lines. @param {string} breach @param {string} text @returns {Promise<Schemas['BreachList']>} */
export const addBreachLine = (breach, text) => call('POST', `breaches/${id(breach)}/lines`, { text });

/** POST staff-changes/:id/confirm, as a second person. @param {string} change @returns {Promise<object>} */
export const confirmStaffChange = change => call('POST', `staff-changes/${id(change)}/confirm`, {});

/** DELETE staff-changes/:id: refuse what waits. @param {string} change @returns {Promise<object>} */
export const refuseStaffChange = change => call('DELETE', `staff-changes/${id(change)}`);

/** POST staff: a new member, with a one-time link. @param {{name: string, role: string, mail: string, phone: string}} wanted @returns {Promise<StaffLink>} */
export const addStaff = wanted => call('POST', 'staff', wanted);

/** POST staff/:id/link. @param {string} person @returns {Promise<StaffLink>} */
export const linkStaff = person => call('POST', `staff/${id(person)}/link`, {});

/** POST staff/:id/push: a test notification to each of their devices. @param {string} person @returns {Promise<Schemas['TrialPushReply']>} */
export const trialPush = person => call('POST', `staff/${id(person)}/push`, {});

/** POST staff/:id/mail: a test mail with a number in it. @param {string} person @returns {Promise<Reach>} */
export const trialMail = person => call('POST', `staff/${id(person)}/mail`, {});

/** POST mail/arrived: the number in the test mail. @param {string} number @returns {Promise<Reach>} */
export const mailArrived = number => call('POST', 'mail/arrived', { number });

/** PUT staff/:id. @param {string} person @param {{name: string, role: string, mail: string, phone: string}} to @returns {Promise<unknown>} */
export const changeStaff = (person, to) => call('PUT', `staff/${id(person)}`, to);

/** POST staff/:id/lost: everything their lost device could do ends, and there is a new link. @param {string} person @returns {Promise<StaffLink>} */
export const lostStaff = person => call('POST', `staff/${id(person)}/lost`, {});

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

/** @typedef {Schemas['DutyList']} DutyList */

/** GET duties: of the next 28 days, and swaps that wait. @returns {Promise<DutyList>} */
export const duties = () => call('GET', 'duties');

/** POST swaps: asks a colleague to take a duty. @param {{with: string, on: string, back?: string, sure?: boolean}} ask @returns {Promise<object>} */
export const askSwap = ask => call('POST', 'swaps', ask);

/** POST swaps/:id/accept: the duty changes. @param {string} swap @returns {Promise<object>} */
export const acceptSwap = swap => call('POST', `swaps/${id(swap)}/accept`);

/** DELETE swaps/:id: withdraws it, or says no. @param {string} swap @returns {Promise<object>} */
export const dropSwap = swap => call('DELETE', `swaps/${id(swap)}`);

/** @typedef {Schemas['RetentionReply']} Retention */

/** @returns {Promise<Retention>} */
export const retention = () => call('GET', 'retention');

/** PUT retention. @param {Pick<Retention, 'years'|'until_age'|'audit_years'|'held_years'>} rule @returns {Promise<Retention>} */
export const saveRetention = rule => call('PUT', 'retention', rule);

/** DELETE audit: cuts the lines off whose time is over. @returns {Promise<Retention>} */
export const cutAudit = () => call('DELETE', 'audit');

/** DELETE held: forgets the entries kept unread whose time is over. @returns {Promise<Retention>} */
export const forgetHeld = () => call('DELETE', 'held');

/** @typedef {Schemas['Erasure']} Erasure */
/** @typedef {Schemas['LeavingRow']} LeavingRow */

/** GET families/:id/erasure: whom and what it would take. @param {string} family @returns {Promise<Erasure>} */
export const erasureOf = family => call('GET', `families/${id(family)}/erasure`);

/** GET leaving: families that were erased and can still be put back. @returns {Promise<{leaving: LeavingRow[]}>} */
export const leaving = () => call('GET', 'leaving');

/** POST families/:id/put-back: takes an erasure back. @param {string} family @returns {Promise<object>} */
export const putBack = family => call('POST', `families/${id(family)}/put-back`);

/** DELETE families/:id: erases it; for 24 hours it can be put back. @param {string} family @returns {Promise<object>} */
export const eraseFamily = family => call('DELETE', `families/${id(family)}`);

/** POST families/:id/come-of-age. @param {string} family @param {string} person @param {string[]} keep those who keep access @param {string[]} devices of the wearer, that go on @returns {Promise<Family>} */
export const comeOfAge = (family, person, keep, devices) =>
  call('POST', `families/${id(family)}/come-of-age`, { person, keep, devices });

/** GET audit: lines before one, newest first; 0 for the newest. @param {number} before @returns {Promise<{lines: {seq: number, at: string, who: string, name: string, did: string, what: string}[], older: number, broken: number, cut: number, lacks: boolean}>} */
export const audit = before => call('GET', `audit${query({ before: before || undefined })}`);

/** GET invitations: those one has made oneself. @returns {Promise<{invitations: {id: string, person: string, name: string, created: string, expires: string}[]}>} */
export const invitations = () => call('GET', 'invitations');

/** DELETE invitations/:id. @param {string} invitation @returns {Promise<object>} */
export const withdraw = invitation => call('DELETE', `invitations/${id(invitation)}`);

/** @typedef {Schemas['Hours']} ClinicHours */
/** @typedef {Schemas['Slot']} Slot */
/** @typedef {Schemas['Absence']} Absence */
/** @typedef {Schemas['Gap']} Gap */
/** @typedef {Schemas['Setting']} Limit */
/** @typedef {Schemas['Step']} SetupStep */

/** @typedef {Schemas['Settings']} Settings */

/** @typedef {Schemas['SettingsReply']} SettingsAnswer */

/** GET settings. @param {boolean} [byItself] @returns {Promise<SettingsAnswer>} */
export const settings = byItself => call('GET', 'settings', undefined, byItself);

/** PUT place: zone, country and languages, which are asked first. @param {Schemas['Whereabouts']} wanted @returns {Promise<SettingsAnswer>} */
export const savePlace = wanted => call('PUT', 'place', wanted);

/** GET rehearsals of backups, the newest first. @returns {Promise<Schemas['RehearsalsReply']>} */
export const rehearsals = () => call('GET', 'rehearsals');

/** POST how one went. @param {Schemas['NewRehearsal']} done @returns {Promise<Schemas['RehearsalsReply']>} */
export const noteRehearsal = done => call('POST', 'rehearsals', done);

/** @typedef {Schemas['Drill']} Drill */
/** GET drills. @param {boolean} [byItself] @returns {Promise<Schemas['DrillList']>} */
export const drills = byItself => call('GET', 'drills', undefined, byItself);

/** POST drills: starts one. @returns {Promise<Schemas['DrillList']>} */
export const startDrill = () => call('POST', 'drills', {});

/** POST drills/phone. @returns {Promise<Invitation>} */
export const drillPhone = () => call('POST', 'drills/phone', {});

/** PUT settings, all or nothing; a refusal names each fault on a line of its own, "field: text". @param {Settings & {sure?: boolean}} wanted sure: what was asked about is meant @returns {Promise<SettingsAnswer>} */
export const saveSettings = wanted => call('PUT', 'settings', wanted);

/** GET calendar: whether the practice has an address for calendar programs. @returns {Promise<{made: string|null}>} */
export const calendar = () => call('GET', 'calendar');

/** POST calendar: makes the address anew; it is shown once. @returns {Promise<{address: string}>} */
export const newCalendar = () => call('POST', 'calendar', {});

/** DELETE calendar: ends the address. @returns {Promise<object>} */
export const endCalendar = () => call('DELETE', 'calendar');

/** @typedef {Schemas['LensList']} LensList */
/** @typedef {Schemas['Lens']} Lens */

/** GET wearers/:id/lenses: as things, and what the family has at home. @param {string} wearer @returns {Promise<LensList>} */
export const lenses = wearer => call('GET', `wearers/${id(wearer)}/lenses`);

/** POST wearers/:id/lenses: a lens, new or changed. @param {string} wearer @param {object} lens @returns {Promise<object>} */
export const saveLens = (wearer, lens) => call('POST', `wearers/${id(wearer)}/lenses`, lens);

/** @typedef {Schemas['AttachmentList']} AttachmentList */

/** GET wearers/:id/attachments, without their bytes. @param {string} wearer @returns {Promise<AttachmentList>} */
export const attachments = wearer => call('GET', `wearers/${id(wearer)}/attachments`);

/** POST wearers/:id/attachments; data in base64. @param {string} wearer @param {Schemas['NewAttachment']} file @returns {Promise<object>} */
export const attach = (wearer, file) => call('POST', `wearers/${id(wearer)}/attachments`, file);

/** DELETE wearers/:id/attachments/:attachment. @param {string} wearer @param {string} attachment @returns {Promise<object>} */
export const detach = (wearer, attachment) => call('DELETE', `wearers/${id(wearer)}/attachments/${id(attachment)}`);

/** The address of an attachment's bytes. @param {string} wearer @param {string} attachment */
export const attachmentUrl = (wearer, attachment) => `/api/clinic/wearers/${id(wearer)}/attachments/${id(attachment)}`;

/** @typedef {Schemas['CourseView']} Course */
/** @typedef {Schemas['AdverseEvent']} AdverseEvent */

/** GET wearers/:id/course. @param {string} wearer @returns {Promise<Course>} */
export const course = wearer => call('GET', `wearers/${id(wearer)}/course`);

/** POST wearers/:id/candidates: what was answered before fitting. @param {string} wearer @param {Schemas['CandidateRequest']} answers @returns {Promise<object>} */
export const keepCandidate = (wearer, answers) => call('POST', `wearers/${id(wearer)}/candidates`, answers);

/** POST wearers/:id/end. @param {string} wearer @param {Schemas['EndRequest']} end @returns {Promise<object>} */
export const endWear = (wearer, end) => call('POST', `wearers/${id(wearer)}/end`, end);

/** POST wearers/:id/spectacles. @param {string} wearer @param {Schemas['SpectaclesRequest']} note @returns {Promise<object>} */
export const noteSpectacles = (wearer, note) => call('POST', `wearers/${id(wearer)}/spectacles`, note);

/** POST wearers/:id/start-over, or go-on when the end was a mistake. @param {string} wearer @param {'start-over'|'go-on'} how @param {Schemas['AgainRequest']} again @returns {Promise<object>} */
export const wearAgain = (wearer, how, again) => call('POST', `wearers/${id(wearer)}/${how}`, again);

/** POST wearers/:id/events: an adverse event, new or a later version. @param {string} wearer @param {AdverseEvent & {base: number, sure?: boolean}} event @returns {Promise<Schemas['EventReply']>} */
export const saveEvent = (wearer, event) => call('POST', `wearers/${id(wearer)}/events`, event);

/** The address of an adverse event as a file. @param {string} wearer @param {string} event */
export const eventFileUrl = (wearer, event) => `/api/clinic/wearers/${id(wearer)}/events/${id(event)}/file`;
