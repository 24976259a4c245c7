// The rules on the phone: the twin of check.go, evaluate.go, triage.go and mark.go, on
// the same rules.json and the same vectors. Pure: no clock, no network, no
// storage. A missing, malformed or unheard-of answer is unknown, never clear.

import { dayNumber, fromDayNumber } from '../schedule/civil/civil.js';

/** @typedef {'none'|'note'|'routine'|'urgent'|'emergency'} Level from least to most pressing */
/** @typedef {'clear'|'unknown'|'fired'} State */
/** @typedef {-1|0|1} Truth clear, unknown, fired */
/** @typedef {number|string|{setting: string}} Operand */
/** @typedef {{of: Operand, atLeast: Operand, where: Cond}} Window */
/**
 * Exactly one form: all, any, not, a comparison, or nights.
 * @typedef {{all?: Cond[], any?: Cond[], not?: Cond, sign?: string, op?: string, value?: Operand, nights?: Window}} Cond
 */
/**
 * @typedef {object} SignDef
 * @property {string} name
 * @property {'eye'|'report'|'night'|'fact'} scope
 * @property {number} [since] the version of the table that first asked it
 * @property {string} label
 * @property {string[]} [answers] from harmless to worst
 * @property {number} [min]
 * @property {number} [max]
 * @property {string} [unit]
 * @property {string} meaning
 */
/** @typedef {{name: string, label: string, default: number, min: number, max: number, unit: string, why: string, source?: string}} Setting */
/**
 * @typedef {object} Rule
 * @property {string} id
 * @property {Level} level
 * @property {'symptoms'|'record'} about
 * @property {Cond} when
 * @property {string} family text key
 * @property {string} clinic text key
 * @property {string[]} actions
 * @property {Mark} mark what it means for wearing a lens
 * @property {boolean} [lens_only] about a lens and not about an eye
 * @property {string} source
 */
/** @typedef {'clear'|'none'|'rest'|'stop'} Mark from least to what holds most firmly */
/** @typedef {{right: Mark, left: Mark}} Marks */
/** @typedef {{action: string, to: string[]}} Yield a step that is left out where one of others is told */
/** @typedef {{version: number, signs: SignDef[], settings: Setting[], actions: string[], gives_way: Yield[], rules: Rule[]}} Rules */
/**
 * A checked table.
 * @typedef {Rules & {symptoms: Map<string, SignDef>, record: Map<string, SignDef>, settingDefs: Map<string, Setting>, perEye: Set<string>}} Table
 */
/** @typedef {Record<string, unknown>} Signs values of one night or the facts of today: numbers or words */
/** @typedef {{right?: Signs, left?: Signs, began?: string, ill?: string, now?: string, water?: string, other?: string, table?: number}} Report table: by which it was asked, if not this one */
/**
 * @typedef {object} Input
 * @property {string} today the current night, "YYYY-MM-DD"
 * @property {Report|null} [report]
 * @property {Record<string, Signs>|null} [nights] by night
 * @property {Signs|null} [facts]
 * @property {Record<string, number>|null} [settings]
 * @property {number} [asked] by which version of the table a report was asked; 0: this one
 */
/**
 * @typedef {object} Finding
 * @property {string} rule
 * @property {Level} level
 * @property {State} state
 * @property {'right'|'left'|''} eye
 * @property {number} version
 * @property {string} family
 * @property {string} clinic
 * @property {string[]} actions
 */
/**
 * @typedef {object} Outcome
 * @property {Level} level at least this; "none" is not a clean bill of health
 * @property {Level} couldBe the most it could be, given what was not answered
 * @property {boolean} unknown some rule could not be assessed
 * @property {boolean} unsure below urgent, and with what was asked and not answered it could be urgent or worse
 * @property {''|'right'|'left'} [eye] the one eye that the report names; what it says of no eye is of this one
 * @property {Finding[]} findings fired and unknown ones
 * @property {string[]} actions advice steps in the order to take them
 * @property {string[]} cautions text keys, never empty
 */

/** @type {Level[]} */
export const LEVELS = ['none', 'note', 'routine', 'urgent', 'emergency'];

/** @type {State[]} */
const STATES = ['clear', 'unknown', 'fired'];
/** What to do about a lens first; one of these opens the advice of every emergency. */
export const LENS_FIRST = ['rinse-eye', 'leave-lens', 'lens-if-loose', 'stuck-lens', 'lenses-out'];
/** The steps of a report that could be urgent. */
const UNSURE = ['unsure', 'lenses-out', 'call-today', 'no-lens-tonight', 'keep-lenses', 'watch'];
/** @type {Mark[]} */
const MARKS = ['clear', 'none', 'rest', 'stop'];
const EYES = /** @type {const} */ (['right', 'left']);

/**
 * @param {Level} level
 * @returns {number} 0 for none to 4 for emergency
 */
export function levelRank(level) {
  return LEVELS.indexOf(level);
}

/**
 * The table made ready. It is checked by the server, which does not start with a
 * faulty one, and by load in check.js for the tests.
 * @param {Rules} rules
 * @returns {Table}
 */
export function prepare(rules) {
  const of = (/** @type {string[]} */ scopes) =>
    new Map(rules.signs.filter(s => scopes.includes(s.scope)).map(s => [s.name, s]));
  const symptoms = of(['eye', 'report']);
  const perEye = (/** @type {Cond} */ c) =>
    (c.all ?? c.any ?? (c.not ? [c.not] : [])).some(perEye) || symptoms.get(c.sign ?? '')?.scope === 'eye';
  return {
    ...rules,
    // The bundle leaves out what follows from the rest.
    rules: rules.rules.map(r => ({
      ...r,
      family: r.family ?? `rule.${r.id}.family`,
      mark: r.mark ?? markOf(r.actions),
    })),
    symptoms,
    record: of(['night', 'fact']),
    settingDefs: new Map(rules.settings.map(s => [s.name, s])),
    perEye: new Set(rules.rules.filter(r => r.about === 'symptoms' && perEye(r.when)).map(r => r.id)),
  };
}

/**
 * @param {Table} t
 * @param {Rule} r
 */
export function defs(t, r) {
  return r.about === 'symptoms' ? t.symptoms : t.record;
}

/**
 * One finding per rule (two for a rule about an eye, right before left) in the
 * table's order, whatever their state.
 * @param {Table} t
 * @param {Input} input
 * @returns {Finding[]}
 */
export function evaluate(t, input) {
  return t.rules.flatMap(r =>
    r.about === 'record' ? [finding(t, r, '', recordState(t, r, input))] : symptomFindings(t, r, input),
  );
}

/**
 * @param {Table} t
 * @param {Rule} r
 * @param {Input} input
 */
function recordState(t, r, input) {
  return evalCond(t, r, r.when, input, input.facts ?? {});
}

/**
 * @param {Table} t
 * @param {Rule} r
 * @param {Input} input
 * @returns {Finding[]}
 */
function symptomFindings(t, r, input) {
  const report = input.report;
  if (!report) return [];
  const whole = wholeOf(report);
  if (!t.perEye.has(r.id)) return [finding(t, r, '', evalCond(t, r, r.when, input, whole))];
  return EYES.filter(eye => !asUsual(report, eye)).map(eye =>
    finding(t, r, eye, evalCond(t, r, r.when, input, { ...report[eye], ...whole })),
  );
}

/** The signs of a whole report. @param {Report} report @returns {Signs} */
const wholeOf = ({ ill, now, water }) => ({ ill, now, water });

/**
 * Whether the report does not speak of an eye at all: it is about the other, and
 * was not asked about this one.
 * @param {Report} report
 * @param {'right'|'left'|''} eye
 */
const silentOn = (report, eye) => eye !== '' && !report.other && !report[eye] && !!(report.right || report.left);

/**
 * Whether an eye is out of question: the report is about the other one, and
 * says that this one is as usual.
 * @param {Report} report
 * @param {'right'|'left'} eye
 */
function asUsual(report, eye) {
  return report.other === 'usual' && !report[eye] && !!(report.right || report.left);
}

/**
 * @param {Table} t
 * @param {Rule} r
 * @param {'right'|'left'|''} eye
 * @param {Truth} truth
 * @returns {Finding}
 */
function finding(t, r, eye, truth) {
  return {
    rule: r.id,
    level: r.level,
    state: STATES[truth + 1],
    eye,
    version: t.version,
    family: r.family,
    clinic: r.clinic,
    actions: r.actions,
  };
}

/**
 * Kleene's strong logic: "all" is the least, "any" the greatest of its terms.
 * @param {Table} t
 * @param {Rule} r
 * @param {Cond} c
 * @param {Input} input
 * @param {Signs} signs
 * @returns {Truth}
 */
function evalCond(t, r, c, input, signs) {
  const terms = c.all ?? c.any;
  if (terms) {
    const truths = terms.map(x => evalCond(t, r, x, input, signs));
    return /** @type {Truth} */ (c.all ? Math.min(...truths) : Math.max(...truths));
  }
  if (c.not) return /** @type {Truth} */ (-evalCond(t, r, c.not, input, signs) || 0);
  if (c.nights) return evalWindow(t, r, c.nights, input);
  const def = defs(t, r).get(c.sign ?? '');
  return def ? compare(t, def, c, input, own(signs, def.name) ?? late(def, input)) : 0;
}

/**
 * @param {Signs} signs
 * @param {string} name
 * @returns {unknown} never something inherited
 */
export function own(signs, name) {
  return Object.hasOwn(signs, name) ? signs[name] : undefined;
}

/**
 * @param {Table} t
 * @param {SignDef} def
 * @param {Cond} c
 * @param {Input} input
 * @param {unknown} v
 * @returns {Truth}
 */
export function compare(t, def, c, input, v) {
  if (def.answers) {
    const got = typeof v === 'string' ? def.answers.indexOf(v) : -1;
    if (got < 0) return 0;
    const want = def.answers.indexOf(/** @type {string} */ (c.value));
    return got === want || (c.op === '>=' && got > want) ? 1 : -1;
  }
  if (typeof v !== 'number' || !(v >= (def.min ?? 0) && v <= (def.max ?? 0))) return 0;
  const limit = limitOf(t, c.value, input);
  const holds = { '>=': v >= limit, '<=': v <= limit, '<': v < limit, '>': v > limit, '=': v === limit }[c.op ?? ''];
  return holds ? 1 : -1;
}

/**
 * Counts calendar nights; a night without an entry is unknown.
 * @param {Table} t
 * @param {Rule} r
 * @param {Window} w
 * @param {Input} input
 * @returns {Truth}
 */
function evalWindow(t, r, w, input) {
  if (!input.today) return 0;
  let fired = 0;
  let unknown = 0;
  const of = limitOf(t, w.of, input);
  const today = dayNumber(input.today);
  for (let back = 0; back < of; back++) {
    const truth = evalCond(t, r, w.where, input, input.nights?.[fromDayNumber(today - back)] ?? {});
    if (truth === 1) fired++;
    if (truth === 0) unknown++;
  }
  const atLeast = limitOf(t, w.atLeast, input);
  if (fired >= atLeast) return 1;
  return fired + unknown >= atLeast ? 0 : -1;
}

/**
 * @param {Table} t
 * @param {Operand|undefined} o
 * @param {Input} input
 * @returns {number} NaN only for an operand that load refuses
 */
export function limitOf(t, o, input) {
  if (typeof o === 'number') return o;
  const def = typeof o === 'object' ? t.settingDefs.get(o.setting) : undefined;
  if (!def) return NaN;
  const set = input.settings?.[def.name];
  return typeof set === 'number' ? Math.min(Math.max(set, def.min), def.max) : def.default;
}

/** The best answer to what was not asked yet. @param {SignDef} def @param {Input} input */
const late = (def, { asked }) => (asked && (def.since ?? 0) > asked ? def.answers?.[0] : undefined);

/**
 * What one symptom report comes to. A report without any sign still carries
 * the cautions.
 * @param {Table} t
 * @param {Report} report
 * @returns {Outcome}
 */
export function triage(t, report) {
  // Of what its table did not ask yet the best answer counts, for whether an
  // all-clear is one: never for a level.
  const [every, old] = [0, report.table ?? 0].map(asked =>
    t.rules.filter(r => r.about === 'symptoms').flatMap(r => symptomFindings(t, r, { today: '', report, asked })),
  );
  const findings = every.filter(f => f.state !== 'clear');
  const fired = findings.filter(f => f.state === 'fired');
  const level = worst(fired);
  const unknown = fired.length < findings.length;
  const couldBe = worst(findings);
  const asked = worst(old.filter(f => f.state !== 'clear' && !(report.table && silentOn(report, f.eye))));
  const urgent = levelRank('urgent');
  const unsure = levelRank(level) < urgent && levelRank(asked) >= urgent;
  const steps = new Set([
    ...fired.flatMap(f => f.actions),
    ...(unsure ? UNSURE : []),
    ...(level === 'none' ? ['watch'] : []),
  ]);
  const cautions = [
    ...(unknown ? ['caution.at-least', 'caution.unknown'] : []),
    ...(levelRank(level) >= urgent ? ['caution.better'] : []),
    'caution.cannot-see',
    'caution.worried',
    'caution.local',
  ];
  const eye = report.right && !report.left ? 'right' : report.left && !report.right ? 'left' : '';
  return { level, couldBe, unknown, unsure, eye, findings, actions: together(t, steps), cautions };
}

/** What is done about a lens that will not move or cannot be found. */
const STUCK_STEPS = ['stuck-lens', 'stuck-steps', 'stuck-press', 'find-lens'];

/**
 * What a report comes to once it was said that a lens it calls stuck, or not found, is
 * out of some eyes: the twin of CameOff in triage.go. What it found and how pressing it
 * is stay as they were.
 * @param {Table} t
 * @param {Outcome} o
 * @param {string[]} eyes
 * @returns {Outcome}
 */
export function cameOff(t, o, eyes) {
  const freed = (/** @type {Finding} */ f) => eyes.includes(f.eye) && f.actions.includes('stuck-lens');
  if (!o.findings.some(freed)) return o;
  const findings = o.findings.map(f =>
    freed(f) ? { ...f, actions: ['lenses-out', 'stuck-again', ...f.actions.filter(a => !STUCK_STEPS.includes(a))] } : f,
  );
  const fired = findings.filter(f => f.state === 'fired');
  return { ...o, findings, actions: together(t, new Set(fired.flatMap(f => f.actions))) };
}

/**
 * The steps in the table's order, without those that give way to another of them.
 * @param {Table} t
 * @param {Set<string>} steps
 */
export function together(t, steps) {
  const yields = (/** @type {string} */ a) => t.gives_way.some(y => y.action === a && y.to.some(to => steps.has(to)));
  return t.actions.filter(a => steps.has(a) && !yields(a));
}

/**
 * What advice means for wearing a lens.
 * @param {string[]} actions
 * @returns {Mark}
 */
export function markOf(actions) {
  if (actions.includes('no-lens')) return 'stop';
  return actions.includes('no-lens-tonight') ? 'rest' : 'none';
}

/**
 * Marks an eye, or both when eye is "". What keeps a lens out keeps out both, as
 * the advice says: the other eye shares the case that is kept for the clinic.
 * @param {Marks} m
 * @param {'right'|'left'|''} eye
 * @param {Mark} mark
 */
function raise(m, eye, mark) {
  for (const e of EYES) {
    if ((eye === e || !eye || mark === 'stop' || mark === 'rest') && MARKS.indexOf(mark) > MARKS.indexOf(m[e]))
      m[e] = mark;
  }
}

/**
 * What a symptom report marks for each eye. A rule that could not be assessed
 * and could be urgent rests both eyes, unless the report does not speak of the
 * eye it could be about. "clear" is no permission:
 * every question about the eye was answered harmless, with the lens out.
 * @param {Table} t
 * @param {Report} report
 * @returns {Marks}
 */
export function reportMarks(t, report) {
  /** @type {Marks} */
  const m = { right: answeredOut(t, report, 'right'), left: answeredOut(t, report, 'left') };
  for (const r of t.rules.filter(x => x.about === 'symptoms')) {
    for (const f of symptomFindings(t, r, { today: '', report })) {
      if (f.state === 'fired') raise(m, f.eye, r.mark ?? 'none');
      if (f.state === 'unknown' && !silentOn(report, f.eye))
        raise(m, f.eye, levelRank(r.level) >= levelRank('urgent') ? 'rest' : 'none');
    }
  }
  return m;
}

/**
 * "clear" for an eye of which every sign was answered, with the lens out, in a
 * report that says how things are now. Whether the answers were harmless the
 * rules say.
 * @param {Table} t
 * @param {Report} report
 * @param {'right'|'left'} eye
 * @returns {Mark}
 */
function answeredOut(t, report, eye) {
  const said = { ...report[eye], ...wholeOf(report) };
  const open = [...t.symptoms.values()].some(s => !s.answers?.includes(/** @type {string} */ (own(said, s.name))));
  return !open && own(said, 'lens') === 'out' ? 'clear' : 'none';
}

/**
 * What findings about the record mark: both eyes, because a night does not say
 * which. Findings that did not fire mark nothing.
 * @param {Table} t
 * @param {Finding[]} findings
 * @returns {Marks}
 */
export function recordMarks(t, findings) {
  /** @type {Marks} */
  const m = { right: 'none', left: 'none' };
  for (const f of findings.filter(x => x.state === 'fired'))
    raise(m, f.eye, t.rules.find(r => r.id === f.rule)?.mark ?? 'none');
  return m;
}

/**
 * @param {Finding[]} findings
 * @returns {Level}
 */
function worst(findings) {
  return LEVELS[Math.max(0, ...findings.map(f => levelRank(f.level)))];
}

/**
 * The text key for the time from when a sign began to now. Treatment over 12
 * hours late goes with loss of sight (Keay 2006); 49 to 72 hours with an odds
 * ratio of 4.5 (Eye 2009).
 * @param {number|null} began Unix time in ms; null when not said
 * @param {number} now Unix time in ms
 * @returns {string}
 */
export function delay(began, now) {
  if (began === null || !(now >= began)) return 'delay.unknown';
  const hours = (now - began) / 3600000;
  if (hours >= 49) return 'delay.over-49-hours';
  return hours > 12 ? 'delay.over-12-hours' : 'delay.soon';
}
