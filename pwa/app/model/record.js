// What the rules about the record may look at in this phone's own log: the twin
// of server/internal/care/signs.go, on the vectors of testdata/care/signs.json.
// Where two entries differ the worse counts; what nobody answered is unknown.
// Visits and the effect model are the server's, as it told them last.
import { addDays, daysBetween, instantInNight } from '../../../schedule/civil/civil.js';
import { OLD_CASE, soakReady, supplies } from '../../../schedule/due.js';
import schedule from '../../../schedule/rules.json' with { type: 'json' };
import { evaluate, levelRank } from '../../../alerts/evaluate.js';
import { lostLenses } from './lost.js';
import { outcome, RULES, written } from './report.js';
import { scheduleLog } from './schedule-log.js';
import { worn as wornMinutes } from './stay.js';

/** @import { Night } from './fold.js' */
/** @import { Plan, Rule } from '../../../schedule/due.js' */
/** @import { Finding, Signs } from '../../../alerts/evaluate.js' */

const SIGN_MEMORY = 14; // nights in which a symptom report counts
const LOOKED_AT = 2; // nights in which a red or sore morning counts
const BASELINE = 14; // the child's own evenings that one is held against
export const WINDOW = 120 + SIGN_MEMORY; // nights the rules look back: the greatest water_watch_days before a sign; as the server's
const STUCK = ['freely', 'stuck-came-off', 'stuck'];

/** @param {Night} n @param {string} key @returns {any[]} everything stated */
const said = (n, key) => (n.items.get(key)?.facts ?? []).map(f => f.value);
/** @param {Night} n @param {string} kind @returns {any[]} bodies of the live entries of a kind */
const bodies = (n, kind) => n.entries.filter(e => e.kind === kind).map(e => e.body);
/** @param {unknown[]} given @param {string[]} answers from harmless to worst */
const worst = (given, answers) => [...answers].reverse().find(a => given.includes(a));

/** @param {number[]} given */
const least = given => (given.length ? Math.min(...given) : undefined);
/** @param {number[]} given */
const most = given => (given.length ? Math.max(...given) : undefined);

/** @param {Night} n */
const water = n =>
  said(n, 'care/tap_water').includes(true) ||
  said(n, 'care/water_contact').includes(true) ||
  said(n, 'care/rinse').includes('tap-water');

/** Whether a report said "water": within the watch period, the night is not known. @param {Night} n */
const wetSaid = n => n.entries.some(e => e.kind === 'symptoms' && e.body.water === 'yes');

/**
 * The fewest minutes in lenses that the entries allow; no more than 960, where
 * the sign ends.
 * @param {Night} n
 * @returns {number|undefined}
 */
function shortest(n) {
  const all = ['left', 'right'].flatMap(eye =>
    said(n, `removal/${eye}`).flatMap(out => [
      out.slept_minutes,
      ...said(n, `insertion/${eye}`).map(into => wornMinutes(n.night, into, out, '')),
    ]),
  );
  const fit = all.filter(m => m !== undefined);
  return fit.length ? Math.min(...fit, 960) : undefined;
}

/** @param {Night} n @returns {string|undefined} */
function worn(n) {
  const [left, right] = ['left', 'right'].map(eye => n.items.has(`insertion/${eye}`));
  const [notLeft, notRight] = ['left', 'right'].map(eye => n.items.has(`not-worn/${eye}`));
  if (notLeft && notRight) return 'no';
  if (notLeft || notRight) return 'partial';
  return left && right ? 'yes' : left || right ? 'partial' : undefined;
}

/**
 * Whether lenses went in before a soak was over that began the morning before,
 * or later the same day; undefined when that or the insertion is not logged.
 * Each is read by the clock it was written by: a change of zone alters nothing.
 * @param {Night} n
 * @param {Night|undefined} before
 * @param {number} minutes
 */
function soakShort(n, before, minutes) {
  const into = [...said(n, 'insertion/left'), ...said(n, 'insertion/right')];
  if (!into.length || !minutes) return undefined;
  const first = Math.min(...into.map(v => instantInNight(n.night, v.at, v.zone)));
  const nights = before && before.night === addDays(n.night, -1) ? [before, n] : [n];
  const closed = nights
    .flatMap(x => said(x, 'care/closed_at').map(c => instantInNight(x.night, c.at, c.zone)))
    .filter(at => at <= first);
  if (!closed.length) return undefined;
  return closed.some(at => first < soakReady(at, minutes)) ? 'yes' : 'no';
}

/** Whether lenses lay in peroxide, by the plan or by the log. @param {Night} n @param {Night|undefined} before @param {string} system */
const inPeroxide = (n, before, system) =>
  system === 'peroxide' ||
  [n, before].some(
    x => x && (x === n || x.night === addDays(n.night, -1)) && said(x, 'care/system').includes('peroxide'),
  );

/** Whether the morning was red or less than comfortable; undefined while one good answer is all. @param {Night} n */
function feltInMorning(n) {
  const [red, comfort] = [most(said(n, 'morning/redness')), least(said(n, 'morning/comfort'))];
  if ((red ?? 0) > 0 || (comfort ?? 4) < 4) return 'yes';
  return red === 0 && comfort === 4 ? 'no' : undefined;
}

/** What a report found about an eye, not only about a lens. @param {import('./entry.js').Entry} e */
const found = e =>
  outcome(e).findings.filter(f => f.state === 'fired' && !RULES.rules.find(r => r.id === f.rule)?.lens_only);

/** @param {Night} n @returns {boolean} a symptom report about an eye of level routine or above */
const sign = n =>
  n.entries.some(e => e.kind === 'symptoms' && found(e).some(f => levelRank(f.level) >= levelRank('routine')));

/** Anything felt or seen at an eye; a word about illness alone is not. @param {Night} n */
function felt(n) {
  const told = n.entries.some(
    e => e.kind === 'symptoms' && found(e).some(f => f.eye || levelRank(f.level) >= levelRank('urgent')),
  );
  return told ? 'yes' : feltInMorning(n);
}

/** @param {number[]} list */
function median(list) {
  const s = [...list].sort((a, b) => a - b);
  const mid = s.length >> 1;
  return s.length % 2 ? s[mid] : (s[mid - 1] + s[mid]) / 2;
}

/**
 * What is known of one night; undefined is unknown. Each sign is worked out when
 * a rule asks for it: the rules look at few of the nights, and to read a clock of
 * another zone, as of a journey, takes Intl, which is slow on a phone.
 * @param {Night} n
 * @param {Night|undefined} before
 * @param {Stored} stored of the plan
 * @param {number|undefined} drop of evening sight
 * @param {(night: string) => boolean} held
 * @returns {Signs}
 */
function signs(n, before, stored, drop, held) {
  const yes = (/** @type {string} */ key) =>
    n.items.has(key) ? (said(n, key).includes(true) ? 'yes' : 'no') : undefined;
  return {
    evening_drop: drop,
    get worn() {
      const said = worn(n);
      return said === 'no' && held(n.night) ? undefined : said;
    },
    get worn_minutes() {
      return shortest(n);
    },
    get worn_while_ill() {
      return n.items.has('insertion/left') || n.items.has('insertion/right')
        ? worst(
            bodies(n, 'symptoms').map(b => b.ill),
            ['no', 'yes'],
          )
        : undefined;
    },
    get soak_short() {
      return soakShort(n, before, stored.minutes);
    },
    get peroxide_short() {
      return inPeroxide(n, before, stored.system)
        ? soakShort(n, before, stored.minutes)
        : stored.system
          ? 'no'
          : undefined;
    },
    get felt() {
      return felt(n);
    },
    get tap_water() {
      return said(n, 'care/rinse').includes('tap-water') ? 'yes' : yes('care/tap_water');
    },
    get topping_off() {
      return yes('care/topping_off');
    },
    get water_contact() {
      return yes('care/water_contact');
    },
    get stuck() {
      const moved = [...said(n, 'morning/moved'), ...bodies(n, 'symptoms').flatMap(b => [b.right?.lens, b.left?.lens])];
      return { freely: 'no', 'stuck-came-off': 'came-off', stuck: 'stuck' }[worst(moved, STUCK) ?? ''];
    },
    get halos() {
      return worst(
        said(n, 'evening-sight').map(v => v.halos),
        ['none', 'some', 'troublesome'],
      );
    },
    get redness() {
      return most(said(n, 'morning/redness'));
    },
    get comfort() {
      return least(said(n, 'morning/comfort'));
    },
  };
}

/** How lenses are stored by the plan: 0 and "" for no plan. @typedef {{minutes: number, system: string}} Stored */

/** @param {Plan|null|undefined} plan @returns {Stored} */
export const storedBy = plan => ({ minutes: plan?.soak_minutes ?? 0, system: plan?.care_system ?? '' });

/**
 * @param {Night[]} list of one wearer, in order
 * @param {Stored} stored
 * @param {(night: string) => boolean} [held] whether no planned eye was allowed a lens: without one is then no missed night
 * @returns {Record<string, Signs>} by night
 */
export function nightSigns(list, stored, held = () => false) {
  /** @type {Map<number, number[]>} by scale: a new one begins a new baseline */
  const scales = new Map();
  return Object.fromEntries(
    list.map((n, i) => {
      const evenings = said(n, 'evening-sight');
      const rating = least(evenings.map(v => v.rating));
      const scale = evenings.find(v => v.rating === rating)?.scale ?? 1;
      const ratings = scales.get(scale) ?? [];
      const drop =
        rating !== undefined && ratings.length >= BASELINE ? median(ratings.slice(-BASELINE)) - rating : undefined;
      if (rating !== undefined) scales.set(scale, [...ratings, rating]);
      return [n.night, signs(n, list[i - 1], stored, drop, held)];
    }),
  );
}

/**
 * @param {Night[]} list of one wearer, in order
 * @param {string} firstNight "" for none
 * @param {string} today
 * @returns {Signs}
 */
export function todayFacts(list, firstNight, today) {
  /** @type {Signs} */
  const facts = {};
  if (firstNight && today >= firstNight) facts.nights_since_start = daysBetween(firstNight, today);
  const past = list.filter(n => n.night <= today);
  const recent = past.filter(n => daysBetween(n.night, today) < SIGN_MEMORY);
  const signed = recent.filter(sign);
  facts.symptoms_last_14 = signed.length;
  const left = past.reduce((a, n) => (checkLeft(n) ? daysBetween(n.night, today) : reports(n).length ? -1 : a), -1);
  if (left >= 0 && left < SIGN_MEMORY) facts.check_left_nights = left;
  const after = recent
    .filter(n => signed.includes(n) || redOn(n, today) || soreOn(n, today))
    .map(n => daysSince(past, n, wet))
    .filter(d => d !== undefined);
  if (after.length) facts.sign_after_water_days = Math.min(...after);
  const sore = recent
    .filter(n => soreOn(n, today))
    .map(n => daysSince(past, n, flagged))
    .filter(d => d !== undefined);
  if (sore.length) facts.sore_after_flag_days = Math.min(...sore);
  return facts;
}

/** @param {Night} n */
const reports = n => n.entries.filter(e => e.kind === 'symptoms');

/** Whether an eye check was begun, and no report of the night came after it. @param {Night} n */
function checkLeft(n) {
  const last = (/** @type {import('./entry.js').Entry[]} */ list) => Math.max(0, ...list.map(written));
  return last(n.entries.filter(e => e.kind === 'check-open')) > last(reports(n));
}

/** @param {Night} n */
const red = n => (most(said(n, 'morning/redness')) ?? 0) > 0;

/** A red morning that still counts. @param {Night} n @param {string} today */
const redOn = (n, today) => daysBetween(n.night, today) < LOOKED_AT && red(n);

/** A sore morning that still counts. @param {Night} n @param {string} today */
const soreOn = (n, today) => daysBetween(n.night, today) < LOOKED_AT && (least(said(n, 'morning/comfort')) ?? 4) <= 1;

/** Whether a night has a red flag: a report of one about an eye, or a red morning. @param {Night} n */
const flagged = n =>
  red(n) || n.entries.some(e => e.kind === 'symptoms' && found(e).some(f => levelRank(f.level) >= levelRank('urgent')));

/** Whether a night takes part in a sore morning that followed a red flag. @param {Night} n @param {string} today */
export const ofFlag = (n, today) => n.night <= today && (flagged(n) || soreOn(n, today));

/**
 * Whether a night takes part in a sign that followed water. Water said in a check does
 * so by what it brings about alone (broughtBy in judge.js): the next check is asked
 * about the same weeks, and tells of the same water again.
 * @param {Night} n
 * @param {string} today
 */
export function ofWater(n, today) {
  const ago = daysBetween(n.night, today);
  return ago >= 0 && (water(n) || (ago < SIGN_MEMORY && sign(n)) || redOn(n, today) || soreOn(n, today));
}

/** @param {Night} n */
const wet = n => water(n) || wetSaid(n);

/**
 * Days from the latest of some nights, as those with water, to a night with a sign; of
 * the same night it is not known which came first, so it counts.
 * @param {Night[]} past
 * @param {Night} n
 * @param {(x: Night) => boolean} of
 */
function daysSince(past, n, of) {
  const last = past.filter(x => x.night <= n.night && of(x)).at(-1);
  return last && daysBetween(last.night, n.night);
}

/** Facts of the supplies, by the reminder that names each. @type {[string, string[]][]} */
const OVERDUE = [
  ['case_overdue_days', ['case']],
  ['bottle_overdue_days', ['bottle', 'drops']],
  ['lens_overdue_days', ['lens']],
  ['deposit_overdue_days', ['deposit-removal']],
];

/**
 * @typedef {object} FromServer
 * @property {{due: string, state: string, passed?: boolean, overdue?: number}[]|null} [recalls]
 * @property {{status: string}|null} [outlook]
 */

/** Kinds that are no word of how a wearer is, as the server's AboutReminders, and what the practice writes. */
const NO_WORD = ['pause', 'snooze', 'cease', 'resume', 'word', 'visit', 'wear-start', 'read', 'taught', 'learnt'];

/**
 * Facts that time brings: nights in a row without a word, counted from the first
 * night of the plan; a visit that is overdue; whether the effect is behind.
 * @param {Night[]} all of one wearer, in order
 * @param {Plan} plan
 * @param {string} today
 * @param {FromServer} server
 * @returns {Signs}
 */
function ofTime(all, plan, today, { recalls, outlook }) {
  /** @type {Signs} */
  const facts = {};
  const heard = all.filter(n => n.night <= today && n.entries.some(e => !NO_WORD.includes(e.kind))).at(-1)?.night ?? '';
  const stopped = plan.stopped && plan.stopped <= today;
  if (plan.first_night <= today && !stopped) {
    const from = heard >= plan.first_night ? heard : addDays(plan.first_night, -1);
    facts.silent_nights = Math.max(0, daysBetween(from, today) - 1); // tonight may still be written
  }
  const open = (recalls ?? [])
    .filter(r => (r.state === 'overdue' || r.state === 'missed') && !r.passed)
    .map(r => daysBetween(r.due, today));
  if (open.length) facts.recall_overdue_days = Math.max(...open);
  if (outlook && outlook.status !== 'not-enough') facts.behind_adaptation = outlook.status === 'behind' ? 'yes' : 'no';
  return facts;
}

/**
 * The rules about the record that fire on this phone's log, worst first.
 * @param {Night[]} nights of one wearer
 * @param {Plan|null} plan
 * @param {string} today the current night
 * @param {number} now Unix ms
 * @param {string} zone
 * @param {Record<string, number>|null} settings of the practice; null for the usual ones
 * @param {FromServer} [server] what the server said last of visits and of the effect
 * @param {(night: string) => boolean} [held] whether no planned eye was allowed a lens on a night
 * @returns {Finding[]}
 */
export function findings(nights, plan, today, now, zone, settings, server = {}, held = () => false) {
  const all = [...nights].sort((a, b) => (a.night < b.night ? -1 : 1));
  const list = all.filter(n => n.night <= today && n.night >= addDays(today, -WINDOW));
  const facts = todayFacts(list, plan?.first_night ?? '', today);
  if (plan?.first_night) {
    const lost = lostLenses(all).map(x => x.eye); // which are past no date
    const due = supplies(
      { plan, zone, now, log: scheduleLog(all, []), unsent: 0 },
      /** @type {Rule[]} */ (schedule.rules),
    ).filter(i => i.rule !== 'lens' || !lost.some(eye => eye === i.subject));
    for (const [fact, ids] of OVERDUE) {
      const days = due.filter(i => ids.includes(i.rule)).map(i => daysBetween(i.due, today));
      if (days.length) facts[fact] = Math.max(...days);
    }
    if (plan.care_system === 'peroxide')
      facts.peroxide_old_case = due.some(i => i.key === OLD_CASE && i.due <= today) ? 'yes' : 'no';
    Object.assign(facts, ofTime(all, plan, today, server));
  }
  const fired = evaluate(RULES, { today, nights: nightSigns(list, storedBy(plan), held), facts, settings }).filter(
    f => f.state === 'fired',
  );
  return fired.sort((a, b) => levelRank(b.level) - levelRank(a.level));
}
