// Checks a rule table as the server's Load does. The phone is given the table that
// a server has checked, so this is for the tests, which hold the two alike.
import { defs, LENS_FIRST, levelRank, markOf, prepare } from './evaluate.js';

/** @import { Cond, Level, Operand, Rule, Rules, Setting, SignDef, Table, Window } from './evaluate.js' */

const MAX_WINDOW = 120;
/** One of each list. @type {Partial<Record<Level, string[][]>>} */
const NEEDED = {
  emergency: [LENS_FIRST, ['no-lens'], ['go-now', 'call-now'], ['keep-lenses'], ['bring']],
  urgent: [['lenses-out', 'stuck-lens'], ['no-lens'], ['call-today'], ['keep-lenses'], ['bring']],
};
const OPS = ['>=', '<=', '<', '>', '='];
const FIELDS = {
  table: ['version', 'signs', 'settings', 'actions', 'gives_way', 'rules'],
  sign: ['name', 'scope', 'since', 'label', 'answers', 'min', 'max', 'unit', 'meaning'],
  setting: ['name', 'label', 'default', 'min', 'max', 'unit', 'why', 'source'],
  rule: ['id', 'level', 'about', 'when', 'family', 'clinic', 'actions', 'mark', 'lens_only', 'source'],
  yield: ['action', 'to'],
  cond: ['all', 'any', 'not', 'sign', 'op', 'value', 'nights'],
  window: ['of', 'atLeast', 'where'],
};

/**
 * Checks a table as Load of the server does, and refuses the same faults.
 * @param {unknown} json what JSON.parse made of rules.json
 * @returns {Table}
 */
export function load(json) {
  fields(json, FIELDS.table);
  const rules = /** @type {Rules} */ (json);
  need(Number.isInteger(rules.version) && rules.version >= 1, `version ${rules.version}: want at least 1`);
  /** @type {Table} */
  const t = {
    ...rules,
    gives_way: rules.gives_way ?? [],
    symptoms: new Map(),
    record: new Map(),
    settingDefs: new Map(),
    perEye: new Set(),
  };
  rules.signs.forEach(s => checkSign(t, s));
  rules.settings.forEach(s => checkSetting(t, s));
  for (const y of rules.gives_way ?? []) {
    fields(y, FIELDS.yield);
    const known = [y.action, ...y.to].every(a => rules.actions.includes(a));
    need(known && y.to.length > 0 && !y.to.includes(y.action), `gives_way: "${y.action}" to "${y.to}"`);
  }
  need(rules.rules.length > 0, 'no rules');
  const seen = new Set();
  for (const r of rules.rules) {
    fields(r, FIELDS.rule);
    need(!!r.id && !seen.has(r.id), `id "${r.id}" is missing or used twice`);
    seen.add(r.id);
    checkRule(t, r);
  }
  return prepare({ ...rules, gives_way: t.gives_way });
}

/**
 * @param {unknown} ok
 * @param {string} what
 * @returns {asserts ok}
 */
function need(ok, what) {
  if (!ok) throw new RangeError(`rule table: ${what}`);
}

/**
 * @param {unknown} o
 * @param {string[]} known
 */
function fields(o, known) {
  need(typeof o === 'object' && o !== null && !Array.isArray(o), 'want an object');
  for (const k of Object.keys(o)) need(known.includes(k), `unknown field "${k}"`);
}

/**
 * @param {Table} t
 * @param {SignDef} s
 */
function checkSign(t, s) {
  fields(s, FIELDS.sign);
  need(['eye', 'report', 'night', 'fact'].includes(s.scope), `sign "${s.name}": unknown scope "${s.scope}"`);
  const into = s.scope === 'eye' || s.scope === 'report' ? t.symptoms : t.record;
  need(!!s.name && !into.has(s.name), `sign "${s.name}" is unnamed or listed twice`);
  const words = (s.answers?.length ?? 0) >= 2 && s.min === undefined && s.max === undefined;
  const numbers = s.answers === undefined && s.min !== undefined && s.max !== undefined && s.min < s.max && !!s.unit;
  need(words !== numbers, `sign "${s.name}": want two answers or more, or a range with a unit`);
  into.set(s.name, s);
}

/**
 * @param {Table} t
 * @param {Setting} s
 */
function checkSetting(t, s) {
  fields(s, FIELDS.setting);
  need(!!s.name && !t.settingDefs.has(s.name), `setting "${s.name}" is unnamed or listed twice`);
  need(
    s.min <= s.default && s.default <= s.max && !!s.why,
    `setting "${s.name}": want a reason, and min <= default <= max`,
  );
  t.settingDefs.set(s.name, s);
}

/**
 * @param {Table} t
 * @param {Rule} r
 */
function checkRule(t, r) {
  need(levelRank(r.level) > 0, `rule ${r.id}: level "${r.level}"`);
  need(!!r.source && !!r.family && !!r.clinic, `rule ${r.id}: source, family and clinic text must all be given`);
  need(r.about === 'symptoms' || r.about === 'record', `rule ${r.id}: about "${r.about}"`);
  let last = -1;
  for (const a of r.actions) {
    const i = t.actions.indexOf(a);
    need(i > last, `rule ${r.id}: advice step "${a}" is unknown, repeated or out of order`);
    last = i;
  }
  need(last >= 0, `rule ${r.id}: no advice`);
  for (const one of NEEDED[r.level] ?? []) {
    need(
      one.some(a => r.actions.includes(a)),
      `rule ${r.id}: needs the advice step "${one}"`,
    );
  }
  need((r.mark ?? 'none') === markOf(r.actions), `rule ${r.id}: mark ${r.mark}: its advice means ${markOf(r.actions)}`);
  checkCond(t, r, r.when, false);
}

/**
 * @param {Table} t
 * @param {Rule} r
 * @param {Cond} c
 * @param {boolean} inWindow
 * @returns {void}
 */
function checkCond(t, r, c, inWindow) {
  fields(c, FIELDS.cond);
  const comparison = c.sign !== undefined || c.op !== undefined || c.value !== undefined;
  const forms = [c.all, c.any, c.not, c.nights].filter(x => x !== undefined).length + (comparison ? 1 : 0);
  need(forms === 1, `rule ${r.id}: a condition has ${forms} forms`);
  if (comparison) return checkComparison(t, r, c, inWindow);
  if (c.nights) return checkWindow(t, r, c.nights, inWindow);
  if (c.not) {
    need(levelRank(r.level) < levelRank('urgent'), `rule ${r.id}: not is refused in an urgent or emergency rule`);
    return checkCond(t, r, c.not, inWindow);
  }
  const terms = c.all ?? c.any ?? [];
  need(terms.length >= 2, `rule ${r.id}: all or any: want two terms or more`);
  terms.forEach(x => checkCond(t, r, x, inWindow));
}

/**
 * @param {Table} t
 * @param {Rule} r
 * @param {Cond} c
 * @param {boolean} inWindow
 */
function checkComparison(t, r, c, inWindow) {
  const def = defs(t, r).get(c.sign ?? '');
  need(def, `rule ${r.id}: sign "${c.sign}" is not one of the ${r.about}`);
  need(
    r.about === 'symptoms' || inWindow === (def.scope === 'night'),
    `rule ${r.id}: sign "${c.sign}" is in the wrong place`,
  );
  need(c.value !== undefined && c.value !== null, `rule ${r.id}: value is missing`);
  if (def.answers) {
    const i = typeof c.value === 'string' ? def.answers.indexOf(c.value) : -1;
    need(
      i >= 0 && (c.op === '=' || (c.op === '>=' && i > 0)),
      `rule ${r.id}: ${c.sign} ${c.op} ${JSON.stringify(c.value)}`,
    );
    return;
  }
  need(OPS.includes(c.op ?? ''), `rule ${r.id}: unknown operator "${c.op}"`);
  const [lo, hi] = bounds(t, r, c.value, c.op === '<=' || c.op === '<');
  need(lo >= (def.min ?? 0) && hi <= (def.max ?? 0), `rule ${r.id}: the limit of "${c.sign}" is out of range`);
}

/**
 * @param {Table} t
 * @param {Rule} r
 * @param {Window} w
 * @param {boolean} inWindow
 */
function checkWindow(t, r, w, inWindow) {
  fields(w, FIELDS.window);
  need(!inWindow && r.about === 'record', `rule ${r.id}: nights only once, in a rule about the record`);
  const [ofLo, ofHi] = bounds(t, r, w.of, true);
  const [atLo, atHi] = bounds(t, r, w.atLeast, false);
  const whole = Number.isInteger(ofLo) && Number.isInteger(atLo);
  need(
    whole && atLo >= 1 && atHi <= ofLo && ofHi <= MAX_WINDOW,
    `rule ${r.id}: nights: want 1 <= atLeast <= of <= ${MAX_WINDOW}`,
  );
  checkCond(t, r, w.where, true);
}

/**
 * The least and greatest value an operand can take.
 * @param {Table} t
 * @param {Rule} r
 * @param {Operand} o
 * @param {boolean} moreIsLooser
 * @returns {[number, number]}
 */
function bounds(t, r, o, moreIsLooser) {
  if (typeof o === 'number') return [o, o];
  need(typeof o === 'object' && o !== null, `rule ${r.id}: want a number or a setting of the table`);
  fields(o, ['setting']);
  const s = t.settingDefs.get(o.setting);
  need(s, `rule ${r.id}: want a number or a setting of the table`);
  const strictest = moreIsLooser ? s.min : s.max;
  const lowers = r.level === 'emergency' || (r.level === 'urgent' && s.default !== strictest && !s.source);
  need(!lowers, `rule ${r.id}: setting "${s.name}" could lower this rule`);
  return [s.min, s.max];
}
