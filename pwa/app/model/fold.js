// From entries to nights: the twin of server/internal/care/fold.go, on the same
// vectors. Commutative, associative and idempotent: order and repetition do not
// matter. Unequal facts are all kept; nothing is settled in silence.
import { after, readable, SCHEMA } from './entry.js';
import { CLINICAL } from './wear.js';

/** @import { Entry } from './entry.js' */

/** @typedef {{entry: string, author: string, value: any}} Fact */
/** @typedef {{facts: Fact[], differ: boolean, others: string[]}} Item facts are unequal, newest first; differ: two people disagree; others: who spoke but for the author of the first fact */
/**
 * @typedef {object} Night
 * @property {string} wearer
 * @property {string} night
 * @property {Map<string, Item>} items by key, e.g. "care/rub" or "insertion/right"
 * @property {Entry[]} entries live ones, newest first
 */

/** @typedef {{retracted: boolean, superseded: boolean, contested: boolean, by: string[]}} State by: who retracted it */

// What a person says once a night: who says it again meant to correct it, even
// if a second tab or phone did not know of the first. What may have hurt an eye
// or a lens, of care and morning, stands until it is corrected by name.
const ONCE = ['insertion', 'removal', 'not-worn', 'evening-sight'];

const PER_EYE = new Map([
  ['insertion', ['at', 'zone']],
  ['removal', ['at', 'on', 'zone', 'slept_minutes']],
  ['not-worn', ['reason']],
]);
const PER_FIELD = new Map([
  [
    'care',
    [
      'hand_wash',
      'rub',
      'rinse',
      'system',
      'closed_at',
      'case_emptied',
      'case_wiped',
      'case_dried',
      'deposit_removal',
      'topping_off',
      'tap_water',
      'water_contact',
    ],
  ],
  ['morning', ['moved', 'drops', 'comfort', 'redness']],
]);
const EVENING = ['rating', 'scale', 'hours_since_removal', 'halos', 'spectacles'];

/**
 * @param {Iterable<Entry>} entries
 * @returns {Map<string, Night>} by "wearer/night"
 */
export function fold(entries) {
  const unique = new Map([...entries].map(e => [e.id, e]));
  const sorted = [...unique.values()].sort((a, b) => (after(a, b) ? -1 : 1));
  const states = statesOf(unique, sorted);
  /** @type {Map<string, Night>} */
  const nights = new Map();
  for (const e of sorted) {
    const s = /** @type {State} */ (states.get(e.id));
    if (s.retracted || s.superseded || e.v > SCHEMA || !readable(e)) continue;
    for (const [key, value] of factsOf(e)) add(nights, e, key, value, s.contested);
  }
  return nights;
}

/**
 * The same after more was written, at the price of the nights it touches: those
 * of the new entries, and those that corrections and withdrawals tie to them.
 * @param {Map<string, Night>} before what fold made of all without `more`
 * @param {Entry[]} all with `more`
 * @param {Entry[]} more
 * @returns {Map<string, Night>}
 */
export function foldMore(before, all, more) {
  const touched = new Set(more.map(nightKey));
  const ties = tiesOf(all);
  for (let size = 0; size !== touched.size; ) {
    size = touched.size;
    for (const tied of ties) if (tied.some(k => touched.has(k))) tied.forEach(k => touched.add(k));
  }
  const anew = fold(all.filter(e => touched.has(nightKey(e))));
  return new Map([...anew, ...[...before].filter(([k]) => !touched.has(k))]);
}

/** @param {Entry} e */
const nightKey = e => `${e.wearer}/${e.night}`;

/**
 * Nights that an entry of one ties to another.
 * @param {Entry[]} all
 * @returns {string[][]}
 */
function tiesOf(all) {
  const refers = all.filter(e => e.retracts || e.supersedes?.length);
  const named = new Set(refers.flatMap(e => [e.retracts ?? '', ...(e.supersedes ?? [])]));
  const where = new Map(all.filter(e => named.has(e.id)).map(e => [e.id, nightKey(e)]));
  const ties = refers.map(e => [
    nightKey(e),
    ...[e.retracts ?? '', ...(e.supersedes ?? [])].flatMap(id => where.get(id) ?? []),
  ]);
  return ties.filter(keys => keys.some(k => k !== keys[0]));
}

/**
 * Works from the newest entry to the oldest. An entry can only affect an older
 * one, so a loop of corrections cannot arise.
 * @param {Map<string, Entry>} byId
 * @param {Entry[]} sorted newest first
 * @returns {Map<string, State>}
 */
function statesOf(byId, sorted) {
  /** @type {Map<string, State>} */
  const states = new Map(sorted.map(e => [e.id, { retracted: false, superseded: false, contested: false, by: [] }]));
  /** @type {Set<string>} what was said, by person, kind and eye */
  const said = new Set();
  /** @param {Entry} e @param {string|undefined} id */
  const reaches = (e, id) => {
    const t = byId.get(id ?? '');
    return t && after(e, t) && e.wearer === t.wearer ? states.get(t.id) : undefined;
  };
  for (const e of sorted) {
    const own = /** @type {State} */ (states.get(e.id));
    if (own.retracted) continue;
    if (!own.superseded && e.v <= SCHEMA) {
      const keys = onceKeys(e);
      own.superseded = keys.length > 0 && keys.every(k => said.has(k));
      keys.forEach(k => said.add(k));
    }
    const gone = reaches(e, e.retracts);
    if (gone) {
      gone.retracted = true;
      gone.by.push(e.author);
    }
    for (const id of e.supersedes ?? []) {
      const old = reaches(e, id);
      if (old) old.superseded = true;
    }
  }
  for (const e of sorted) {
    for (const id of e.supersedes ?? []) {
      const t = states.get(id);
      if (t?.by.some(p => p !== e.author) && byId.get(id)?.wearer === e.wearer)
        /** @type {State} */ (states.get(e.id)).contested = true;
    }
  }
  return states;
}

/**
 * What an entry says that is said once a night, an evening of both eyes.
 * @param {Entry} e
 * @returns {string[]}
 */
function onceKeys(e) {
  if (!ONCE.includes(e.kind) || typeof e.body !== 'object' || e.body === null) return [];
  const eyes =
    e.kind === 'evening-sight'
      ? ['both']
      : ['left', 'right'].filter(eye => e.body.eyes === 'both' || e.body.eyes === eye);
  return eyes.map(eye => [nightKey(e), e.author, e.kind, eye].join());
}

/**
 * @param {Map<string, Night>} nights
 * @param {Entry} e
 * @param {string} key
 * @param {unknown} value
 * @param {boolean} contested
 */
function add(nights, e, key, value, contested) {
  const at = nightKey(e);
  let night = nights.get(at);
  if (!night) nights.set(at, (night = { wearer: e.wearer, night: e.night, items: new Map(), entries: [] }));
  if (night.entries.at(-1) !== e) night.entries.push(e); // an entry's facts come one after the other
  let item = night.items.get(key);
  if (!item) night.items.set(key, (item = { facts: [], differ: false, others: [] }));
  if (contested) item.differ = true;
  const [first] = item.facts;
  const text = first && canonical(value);
  if (first && e.author !== first.author && !item.others.includes(e.author)) {
    item.others.push(e.author); // the newest word of somebody else; a case may well be closed twice
    item.differ ||= key !== 'care/closed_at' && canonical(first.value) !== text;
  }
  if (item.facts.some(f => canonical(f.value) === text)) return;
  item.facts.push({ entry: e.id, author: e.author, value });
}

/** Kinds that state no fact about a night: what the practice says, and that it was read, among them. */
const SILENT = ['retraction', 'read', 'learnt', ...CLINICAL];

/**
 * The items an entry speaks about. Kinds that can happen several times in a
 * night make an item of their own, named by the entry.
 * @param {Entry} e
 * @returns {[string, unknown][]}
 */
function factsOf(e) {
  if (SILENT.includes(e.kind) || typeof e.body !== 'object' || e.body === null) return [];
  const perEye = PER_EYE.get(e.kind);
  if (perEye) {
    const value = pick({ ...e.body, zone: e.zone }, perEye);
    return ['left', 'right']
      .filter(eye => e.body.eyes === 'both' || e.body.eyes === eye)
      .map(eye => [`${e.kind}/${eye}`, value]);
  }
  const perField = PER_FIELD.get(e.kind);
  // When a case was closed is a clock in the zone of writing, and means nothing without it.
  if (perField)
    return perField
      .filter(f => f in e.body)
      .map(f => [`${e.kind}/${f}`, f === 'closed_at' ? { at: e.body[f], zone: e.zone } : e.body[f]]);
  if (e.kind === 'evening-sight') return [[e.kind, pick(e.body, EVENING)]];
  if (e.kind === 'snooze') return [[`${e.kind}/${e.id}`, pick({ ...e.body, zone: e.zone }, ['until', 'zone'])]];
  return [[`${e.kind}/${e.id}`, e.body]];
}

/**
 * @param {Record<string, unknown>} body
 * @param {string[]} names
 */
function pick(body, names) {
  return Object.fromEntries(names.filter(n => n in body).map(n => [n, body[n]]));
}

/**
 * JSON with sorted keys, so that equal values are equal text.
 * @param {unknown} v
 * @returns {string}
 */
export function canonical(v) {
  if (Array.isArray(v)) return `[${v.map(canonical).join(',')}]`;
  if (typeof v === 'object' && v !== null) {
    const o = /** @type {Record<string, unknown>} */ (v);
    return `{${Object.keys(o)
      .sort()
      .map(k => `${JSON.stringify(k)}:${canonical(o[k])}`)
      .join(',')}}`;
  }
  return JSON.stringify(v);
}

/**
 * The shown value of an item: the newest fact.
 * @param {Night|undefined} night
 * @param {string} key
 * @returns {any} undefined when nobody has said anything
 */
export function fact(night, key) {
  return night?.items.get(key)?.facts[0]?.value;
}
