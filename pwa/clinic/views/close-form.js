// Closing an alert is a decision about wear, and the family reads it on every
// phone: lenses again, none until a date, or sent on. Without one an open stop
// cannot be closed.

import * as api from '../api.js';
import { Field, h, Trouble, useEffect, useLoad, useRef, useState } from '../dom.js';
import { addDays, capital, day, eyes, onlyEye } from '../format.js';
import { PHRASES } from '../../ui/phrases.js';
import { ConsentGone } from './consent-gone.js';
import { Half } from './half.js';
import { Unlikely } from './number-field.js';
import { typeOn, useTyped } from './typed.js';
import { unsaved } from '../unsaved.js';
import { isRead, Words } from './words.js';
import { heard } from '../heard.js';
import { point, tr } from '../text.js';

/** @import { Alert, ApiError, EyeWear, Me, WearAnswer } from '../api.js' */
/** @import { FamilyWords } from './words.js' */

/** @typedef {'resume'|'stays'|'sent-on'|'none'} Decision */

const BASIS = [
  ['examined', tr('Examined here')],
  ['examined-elsewhere', tr('Examined elsewhere')],
  ['by-telephone', tr('By telephone')],
  ['in-error', tr('It was reported by mistake')],
];
const REASONS = [
  ['report', tr('What was reported')],
  ['examination', tr('What was found')],
  ['treatment', tr('Treatment')],
  ['lens', tr('The lens')],
  ['other', tr('Other')],
  ['ended', tr('Treatment with lenses has ended')],
];
const ANSWERS = 100; // causes that one release names at most (server/internal/care/ENTRIES.md)
const BOOKED = 7; // days proposed until a review; common practice

/** @typedef {{outcome: string, note: string, decision: Decision|'', where: string, stop: string, eyes: string, from: string, basis: string, check: boolean, new_case: boolean, cleared: string, reason: string, review_by: string, on: string, at: string, phrase: string, text: string, lens: string, known: string}} Form */

/** The eyes of a state, as entries name them. @param {WearAnswer} w @param {string} state @returns {string} both, right, left or empty */
export function eyesIn(w, state) {
  const [right, left] = [w.wear.right.state === state, w.wear.left.state === state];
  return right && left ? 'both' : right ? 'right' : left ? 'left' : '';
}

/** What ended wear: a new course lifts it, no release. @param {WearAnswer} w @returns {string[]} ids */
const endsOf = w =>
  /** @type {{id: string, kind: string, body: {reason?: string}}[]} */ (w.entries ?? [])
    .filter(e => e.kind === 'cease' && e.body.reason === 'ended')
    .map(e => e.id);

/** What holds the eyes named back, and a release can lift. @param {WearAnswer} w @param {string} eyes @returns {string[]} ids */
function causesOf(w, eyes) {
  const of = eyes === 'both' ? [w.wear.right, w.wear.left] : [w.wear[/** @type {'right'|'left'} */ (eyes)]];
  const ends = endsOf(w);
  return [...new Set(of.flatMap(e => e.causes.map(c => c.id)))].filter(id => !ends.includes(id));
}

/** Whether wear has ended. @param {WearAnswer} w */
const ended = w => endsOf(w).some(id => w.causes.includes(id));

/** Whether something holds a lens back that a release can lift. @param {WearAnswer} w */
export const canRelease = w => causesOf(w, 'both').length > 0;

/** The eye that stays stopped when only the other is resumed. @param {WearAnswer} w @param {string} resumed @returns {string} right, left or empty */
const staysIn = (w, resumed) =>
  ['right', 'left'].find(
    eye => resumed && !['both', eye].includes(resumed) && w.wear[/** @type {'right'|'left'} */ (eye)].state === 'stop',
  ) ?? '';

const OF_AN_EYE = ['seen-rest', 'no-finding', 'treated', 'referred']; // words to the family that say “the eye”
const NO_LENS = ['wait-visit', 'seen-rest', 'referred', 'treated']; // the server holds the same list

/**
 * What contradicts itself in a filled form, in words; the server refuses it too.
 * @param {Form} f
 * @param {WearAnswer} w
 * @param {string} disease what names one of the eyes that are resumed; empty: nothing
 * @param {{key: string, event: boolean}} [outcome]
 */
export function contradiction(f, w, disease, outcome) {
  const found = outcome?.event || f.decision === 'sent-on';
  if ((f.phrase === 'no-finding' && found) || (f.phrase === 'treated' && outcome?.key === 'seen-nothing-found'))
    return tr('The word to the family and the outcome contradict each other about what was found.');
  if (f.phrase === 'wait-visit' && f.decision !== 'resume' && !f.on && !w.booked)
    return tr('The word to the family is about a booked visit, and none is booked: book one, or choose another word.');
  if (f.decision !== 'resume') return '';
  if (NO_LENS.includes(f.phrase)) return tr('The word to the family says no lens, and lenses are allowed again.');
  if (['referred', 'not-reached'].includes(f.outcome))
    return tr('The outcome says sent on or not reached, and lenses are allowed again.');
  if (disease && ['by-telephone', 'in-error'].includes(f.basis))
    return tr('After a disease of the cornea lenses are worn again only when the eye was examined.');
  return '';
}

/**
 * Why a red flag cannot be closed so yet, in words; the server refuses it too.
 * @param {Form} f @param {Alert} alert @param {{key: string, seen: boolean}} [outcome]
 */
export function unfounded(f, alert, outcome) {
  if (!f.decision || !['emergency', 'urgent'].includes(alert.level)) return '';
  if (f.decision !== 'resume') {
    const seen = outcome?.seen && outcome.key !== 'referred';
    const found = ['stays', 'sent-on'].includes(f.decision) && f.reason === 'examination';
    return outcome && !seen && !found && !alert.spoken
      ? tr('A red flag is closed after an examination, or a logged call that reached the family.')
      : '';
  }
  if (alert.level === 'emergency' && alert.state === 'open')
    return tr('This is an emergency that nobody has: press “I have this” first.');
  if (f.basis && !f.basis.startsWith('examined') && !alert.spoken)
    return tr('Lenses again after a red flag want an examination, or a logged call that reached the family.');
  return '';
}

/**
 * What a release must not pass over: lenses that are in, and what nobody has read.
 * @typedef {{lenses: {text: string, entry?: string}[], words: FamilyWords[]}} Stands
 */

/** On a card. @param {Alert} alert @returns {Stands} */
const standing = alert => ({
  lenses: alert.episode.logged.filter(l => l.leads),
  words: alert.episode.notes.filter(w => !w.read),
});

/**
 * By which a tick is kept: what comes after it takes it off again.
 * @param {Stands} stands @returns {string} empty: nothing stands
 */
export const toKnow = ({ lenses, words }) =>
  [...lenses.map(l => l.text), ...words.filter(w => !isRead(w)).map(w => w.entry)].join('\n');

/** The entries of which a tick says that they are known, as the server is told. @param {Form} f @param {Stands} stands */
export const knownIn = (f, stands) =>
  f.known !== toKnow(stands) ? [] : [...stands.lenses, ...stands.words].flatMap(x => x.entry ?? []);

/**
 * Lenses that are in and words that nobody has read, where the decision is made.
 * @param {object} props
 * @param {Stands} props.stands
 * @param {Form} props.f
 * @param {(known: string) => void} props.know by {@link toKnow}
 * @param {string} props.wearer
 * @param {string} props.of who the wearer is
 * @param {Me} props.me
 * @param {string} [props.lang] of the words
 * @param {() => void} [props.done] words were marked as read
 */
export function Standing({ stands, f, know, wearer, of, me, lang, done }) {
  const [, turn] = useState(0);
  const { lenses, words } = stands;
  if (!lenses.length && !words.length) return null;
  return h(
    'div',
    { 'data-test': 'close-standing' },
    lenses.map(l => h('p', { key: l.text }, h('strong', null, l.text))),
    words.length > 0 &&
      h(Words, {
        list: words,
        wearer,
        of,
        may: me.person.role === 'clinician',
        zone: me.practice.zone,
        lang,
        done: () => {
          turn(n => n + 1); // what was typed meanwhile stays
          done?.();
        },
      }),
    f.decision === 'resume' &&
      toKnow(stands) !== '' &&
      h(
        'label',
        { class: 'switch' },
        h('input', {
          type: 'checkbox',
          required: true,
          checked: f.known === toKnow(stands),
          'data-test': 'close-known',
          onChange: (/** @type {Event} */ e) =>
            know(/** @type {HTMLInputElement} */ (e.target).checked ? toKnow(stands) : ''),
        }),
        tr('I know this, and lenses are worn again all the same'),
      ),
  );
}

/**
 * What names a disease of an eye that the form resumes: a closing that no review
 * has cleared, or the outcome chosen in this one.
 * @param {Form} f @param {WearAnswer} w @param {Me} me
 * @returns {string} in words; empty: nothing
 */
export function diseaseOf(f, w, me) {
  if (f.decision !== 'resume' || !f.eyes) return '';
  const named = (/** @type {string} */ key) => me.outcomes.find(o => o.key === key);
  if (named(f.outcome)?.disease) return tr('This closing says: {title}.', { title: named(f.outcome)?.title });
  const open = w.diseases.find(d => f.eyes === 'both' || f.eyes === d.eye);
  if (!open) return '';
  return tr('Closed on {date} by {name}: {title}.', {
    date: day(open.at.slice(0, 10)),
    name: open.name,
    title: named(open.outcome)?.title ?? open.outcome,
  });
}

/**
 * The entries of the practice that a filled form writes in the family's log.
 * @param {Form} f @param {WearAnswer} w @param {string} [alert] id, when it is said at a closing
 * @returns {{kind: string, body: Record<string, unknown>}[]}
 */
export function entriesOf(f, w, alert) {
  /** @type {{kind: string, body: Record<string, unknown>}[]} */
  const out = [];
  if (f.decision === 'resume') {
    const causes = causesOf(w, f.eyes);
    for (let i = 0; i < Math.max(1, causes.length); i += ANSWERS)
      out.push({
        kind: 'resume',
        body: {
          eyes: f.eyes,
          answers: causes.slice(i, i + ANSWERS),
          from: f.from,
          basis: f.basis,
          check: f.check,
          new_case: f.new_case,
          alert,
        },
      });
    const other = staysIn(w, f.eyes);
    if (other) {
      out.push({ kind: 'cease', body: { eyes: other, reason: f.reason, review_by: f.on || f.review_by, alert } });
      if (f.on) out.push({ kind: 'visit', body: { on: f.on, ...(f.at ? { at: f.at } : {}) } });
    }
  } else if (f.decision === 'stays' || f.decision === 'sent-on') {
    const eyes = f.stop || eyesIn(w, 'stop') || 'both';
    out.push({ kind: 'cease', body: { eyes, reason: f.reason, review_by: f.on || f.review_by, alert } });
    if (f.on) out.push({ kind: 'visit', body: { on: f.on, ...(f.at ? { at: f.at } : {}) } });
  }
  const said = f.text.trim() || PHRASES[f.phrase];
  const of = f.decision === 'resume' ? f.eyes : f.stop || eyesIn(w, 'stop');
  const eye = OF_AN_EYE.includes(f.phrase) && ['right', 'left'].includes(of) ? { eyes: of } : {};
  if (said) out.push({ kind: 'word', body: { text: said, ...(f.phrase ? { phrase: f.phrase } : {}), ...eye, alert } });
  return out;
}

/** @param {WearAnswer} w @param {Decision|''} decision @returns {Form} with nothing filled in */
export const blank = (w, decision) => ({
  outcome: '',
  note: '',
  decision,
  where: '',
  stop: '',
  eyes: '',
  from: '', // nobody wears again tonight because a field was passed over
  basis: '',
  check: false,
  new_case: false,
  cleared: '',
  reason: 'report',
  review_by: addDays(w.night, BOOKED),
  on: '',
  at: '',
  phrase: '',
  text: '',
  lens: '',
  known: '',
});

/**
 * Where each eye stands, as the practice reads it.
 * @param {{wear: WearAnswer}} props
 */
export function WearLine({ wear }) {
  const entries = /** @type {{id: string, kind: string, body: Record<string, any>}[]} */ (wear.entries);
  /** Whether all that holds it back are reports about the other eye. @param {EyeWear} e @param {string} eye */
  const shares = (e, eye) =>
    e.causes.length > 0 &&
    e.causes.every(c => {
      const x = entries.find(x => x.id === c.id);
      return x?.kind === 'symptoms' && !x.body[eye] && (x.body.right || x.body.left);
    });
  /** @param {EyeWear} e @param {string} eye */
  const of = (e, eye) =>
    h(
      'li',
      null,
      h('strong', null, `${capital(eyes(eye))}${point(': ')}`),
      { none: tr('no stop'), rest: tr('rest'), stop: tr('stop') }[e.state] ?? e.state,
      e.until && tr(' until {date}', { date: day(e.until) }),
      e.causes.length > 0 &&
        h(
          'span',
          { class: 'quiet' },
          shares(e, eye) && `${point('; ')}${tr('shares the case kept for the clinic')}`,
          `${point('; ')}${e.causes.map(c => tr('{kinds}, night of {date}', { kinds: KINDS[c.kind] ?? c.kind, date: day(c.night) })).join(point(', '))}`,
        ),
    );
  return h(
    'div',
    { 'data-test': 'wear-now' },
    h(ConsentGone, { of: wear }),
    h('ul', { class: 'wear-now' }, of(wear.wear.right, 'right'), of(wear.wear.left, 'left')),
    wear.reachable === 0 &&
      h(
        'p',
        { class: 'field-error', 'data-test': 'no-messages' },
        tr('No phone of the family takes messages: what you write rings nowhere. Telephone.'),
      ),
    wear.old_phones > 0 &&
      h(
        'p',
        { class: 'field-error' },
        tr('{old_phones} of the family’s phones cannot show a decision yet: telephone.', {
          old_phones: wear.old_phones,
        }),
      ),
    wear.incomplete_since &&
      h(
        'p',
        { class: 'field-error' },
        tr('The file was put back from a backup and not every phone has handed in since: this may not be all.'),
      ),
  );
}

const KINDS = /** @type {Record<string, string>} */ ({
  symptoms: tr('eye report'),
  cease: tr('stop by the practice'),
  insertion: tr('lens in under a stop'),
  'not-worn': tr('sore eye, not worn'),
  'check-open': tr('check not finished'),
  morning: tr('morning log'),
  care: tr('lens care'),
  'evening-sight': tr('evening sight'),
  resume: tr('check asked for'),
});

/** By which what is half typed is kept. @param {Me} me @param {Alert} alert */
const nameOf = (me, alert) => `close ${me.person.id} ${alert.id}`;

/** Whether somebody has begun to close an alert. @param {Me} me @param {Alert} alert */
export const halfClosed = (me, alert) => !!unsaved(nameOf(me, alert));

/** @param {{alert: Alert, me: Me, busy: boolean, error?: ApiError, act: (job: () => Promise<unknown>) => void}} props */
export function CloseForm({ alert, me, busy, error, act }) {
  const got = useLoad(() => api.wear(alert.wearer), `wear-${alert.id}-${alert.history.length}`);
  if (!got.data) return h(Trouble, { error: got.error, busy: got.busy, retry: got.reload });
  return h(Filled, { alert, me, busy, error, act, wear: got.data, again: got.reload });
}

/** @param {{alert: Alert, me: Me, busy: boolean, error?: ApiError, act: (job: () => Promise<unknown>) => void, wear: WearAnswer, again: () => void}} props */
function Filled({ alert, me, busy, error, act, wear, again }) {
  const stopped = eyesIn(wear, 'stop');
  const held = stopped || eyesIn(wear, 'rest');
  const stands = standing(alert);
  const typed = useTyped(nameOf(me, alert), () => ({
    f: blank(wear, held ? '' : 'none'),
    // What is decided is decided on what held when it was begun: the server refuses it once that changed.
    seen: /** @type {string[]|undefined} */ (undefined),
    last: '',
  }));
  const { f, seen, last } = typed.now;
  const form = useRef(/** @type {HTMLElement|null} */ (null));
  useEffect(() => typeOn(form.current, last || 'decide-stays'), []);
  /** @param {keyof Form} key */
  const put = key => (/** @type {Event} */ e) => {
    const el = /** @type {HTMLInputElement} */ (e.target);
    const value = el.type === 'checkbox' ? el.checked : el.value;
    typed.change({ f: { ...f, [key]: value }, seen: seen ?? wear.causes, last: el.dataset.test ?? '' });
  };
  const send = (/** @type {api.Answer} */ answer) =>
    act(async () => {
      try {
        await api.close(alert.id, {
          outcome: f.outcome,
          note: f.note,
          decision: f.decision,
          where: f.where,
          causes: seen ?? wear.causes,
          entries: entriesOf(f, wear, alert.id),
          cleared: disease ? f.cleared : '',
          lens: f.lens,
          known: knownIn(f, stands),
          ...answer,
        });
      } catch (x) {
        if (/** @type {{code?: string}} */ (x).code === 'causes-changed') {
          typed.change({ f, seen: undefined, last });
          again();
        }
        throw x;
      }
      typed.forget();
    });
  const may = me.person.role === 'clinician';
  const disease = diseaseOf(f, wear, me);
  const outcome = me.outcomes.find(o => o.key === f.outcome);
  const wrong = contradiction(f, wear, disease, outcome) || unfounded(f, alert, outcome);
  /** @param {Decision} d @param {string} words @param {boolean} [off] */
  const choice = (d, words, off) =>
    h(
      'label',
      { class: 'switch' },
      h('input', {
        type: 'radio',
        name: `decision-${alert.id}`,
        required: true,
        value: d,
        checked: f.decision === d,
        disabled: off,
        'data-test': `decide-${d}`,
        onChange: put('decision'),
      }),
      words,
    );
  return h(
    'form',
    {
      class: 'close-form',
      ref: form,
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        send({});
      },
      'data-test': 'close-form',
    },
    typed.was && h(Half, { test: 'close-draft', forget: typed.forget }),
    h(WearLine, { wear }),
    ['emergency', 'urgent'].includes(alert.level) &&
      !alert.spoken &&
      h(
        'p',
        { class: 'hint', 'data-test': 'wants-a-call' },
        tr('A red flag is closed after an examination, or a logged call that reached the family.'),
        ' ',
        tr('No such call is logged yet; what is typed here stays while you log one.'),
      ),
    h(
      'fieldset',
      null,
      h('legend', null, tr('To close, decide about wear')),
      choice('stays', tr('No lens until a visit or a review')),
      choice('sent-on', tr('Sent on, no lens until then')),
      choice(
        'resume',
        ended(wear)
          ? tr('Lenses again: not once wear has ended. Begin a new course under “Lenses” first.')
          : tr('Lenses again, eye by eye, from a date'),
        !may || !held || ended(wear),
      ),
      choice(
        'none',
        stopped ? tr('No wear decision needed: not while an eye is stopped') : tr('No wear decision needed'),
        !!stopped || !may,
      ),
    ),
    f.decision === 'resume' && h(Resume, { f, put, wear, disease }),
    (f.decision === 'stays' || f.decision === 'sent-on') && h(Stays, { f, put, wear }),
    h(LensOut, { f, put, wear }),
    h(
      'div',
      { class: 'grid' },
      h(
        Field,
        { label: tr('Outcome') },
        h(
          'select',
          { required: true, 'data-test': 'close-outcome', value: f.outcome, onChange: put('outcome') },
          h('option', { value: '' }, tr('Choose…')),
          outcomes(me, alert).map(o => h('option', { value: o.key }, o.title)),
        ),
      ),
      h(
        Field,
        { label: tr('What was done'), hint: tr('For the practice.') },
        h('input', {
          type: 'text',
          maxLength: 2000,
          'data-test': 'close-note',
          required: true,
          value: f.note,
          onInput: put('note'),
        }),
      ),
      h(
        Field,
        { label: tr('To the family'), hint: tr('Shown on their phones in their language.') },
        h(
          'select',
          { value: f.phrase, 'data-test': 'close-phrase', onChange: put('phrase') },
          h('option', { value: '' }, tr('Nothing from the list')),
          Object.entries(PHRASES).map(([key, words]) => h('option', { value: key }, heard(words))),
        ),
      ),
      h(
        Field,
        { label: tr('In your own words'), hint: tr('Shown as you write it.') },
        h('textarea', { maxLength: 500, rows: 2, 'data-test': 'close-text', value: f.text, onInput: put('text') }),
      ),
    ),
    h(Standing, {
      stands,
      f,
      know: known => typed.change({ f: { ...f, known }, seen: seen ?? wear.causes, last: 'close-known' }),
      wearer: alert.wearer,
      of: alert.wearer_name,
      me,
      lang: alert.language,
    }),
    wrong && h('p', { class: 'field-error', role: 'alert', 'data-test': 'close-wrong' }, wrong),
    h(Unlikely, { error, busy, yes: send, word: tr('Yes, close it all the same') }),
    h(
      'div',
      { class: 'buttons' },
      h(
        'button',
        { class: 'primary', 'data-test': 'close-save', disabled: busy || !f.decision || !!wrong },
        tr('Close the alert'),
      ),
    ),
    h(
      'p',
      { class: 'hint' },
      stopped
        ? tr('The stop does not end by closing: only “lenses again” ends it, for the eyes and from the night you name.')
        : tr('Nobody reached? Log the call instead: the next person is told.'),
    ),
  );
}

/** A call that reached nobody ends no red flag. @param {Me} me @param {Alert} alert */
const outcomes = (me, alert) =>
  me.outcomes.filter(o => o.key !== 'not-reached' || !['emergency', 'urgent'].includes(alert.level));

/** @param {{f: Form, put: (key: keyof Form) => (e: Event) => void, wear: WearAnswer, disease: string}} props disease: see diseaseOf */
export function Resume({ f, put, wear, disease }) {
  const free = ['right', 'left', 'both'].filter(eyes => causesOf(wear, eyes).length > 0);
  const one = f.eyes && f.eyes !== 'both';
  const other = staysIn(wear, f.eyes);
  return h(
    'fieldset',
    { class: 'grid' },
    h('legend', null, tr('Lenses again')),
    h(
      Field,
      { label: tr('Eyes') },
      h(
        'select',
        { required: true, value: f.eyes, 'data-test': 'resume-eyes', onChange: put('eyes') },
        h('option', { value: '' }, tr('Choose…')),
        free.map(eyes => h('option', { value: eyes }, onlyEye(eyes))),
      ),
    ),
    h(
      Field,
      { label: tr('From the night of') },
      h('input', {
        type: 'date',
        required: true,
        min: wear.evening,
        max: addDays(wear.night, 90),
        value: f.from,
        'data-test': 'resume-from',
        onInput: put('from'),
      }),
    ),
    h(
      Field,
      { label: tr('On what ground') },
      h(
        'select',
        { required: true, value: f.basis, 'data-test': 'resume-basis', onChange: put('basis') },
        h('option', { value: '' }, tr('Choose…')),
        BASIS.map(([key, words]) => h('option', { value: key }, heard(words))),
      ),
    ),
    disease &&
      h(
        Field,
        {
          label: tr('What the review found that clears the eye'),
          hint: tr('{disease} For the practice, kept with the alert.', { disease }),
        },
        h('textarea', {
          required: true,
          maxLength: 2000,
          rows: 2,
          'data-test': 'resume-cleared',
          value: f.cleared,
          onInput: put('cleared'),
        }),
      ),
    h(
      'label',
      { class: 'switch' },
      h('input', { type: 'checkbox', checked: f.check, 'data-test': 'resume-check', onChange: put('check') }),
      tr('Only after a check at home on that day'),
    ),
    h(
      'label',
      { class: 'switch' },
      h('input', {
        type: 'checkbox',
        required: !!one,
        checked: f.new_case,
        'data-test': 'resume-case',
        onChange: put('new_case'),
      }),
      one
        ? tr('Only with a new case, which the phones ask for first (the other eye’s is kept)')
        : tr('Only with a new case, which the phones ask for first'),
    ),
    other &&
      h(
        'p',
        { class: 'hint', 'data-test': 'other-stays' },
        tr('The {other} eye stays stopped. Until when:', { other }),
      ),
    other && h(Dates, { f, put, wear }),
  );
}

const OUT = [
  ['out', tr('Yes, it is out')],
  ['in', tr('No, still in')],
  ['unknown', tr('Not known')],
];

/**
 * Whether a lens is out that was stuck, or not found, and of which nobody has said so:
 * until then the phones go on saying not to pull at it.
 * @param {{f: Form, put: (key: keyof Form) => (e: Event) => void, wear: WearAnswer}} props
 */
export const LensOut = ({ f, put, wear }) =>
  wear.lens_on.length > 0 &&
  f.decision !== 'none' &&
  f.decision !== '' &&
  h(
    Field,
    {
      label: tr('Is the lens out? ({eye})', { eye: eyes(wear.lens_on.length > 1 ? 'both' : wear.lens_on[0]) }),
      hint: tr('It was stuck, or not found. Until somebody says that it is out, the phones say not to pull at it.'),
    },
    h(
      'select',
      { required: true, value: f.lens, 'data-test': 'lens-out', onChange: put('lens') },
      h('option', { value: '' }, tr('Choose…')),
      OUT.map(([key, words]) => h('option', { value: key }, heard(words))),
    ),
  );

/** @param {{f: Form, put: (key: keyof Form) => (e: Event) => void, wear: WearAnswer}} props */
export function Stays({ f, put, wear }) {
  return h(
    'fieldset',
    { class: 'grid' },
    h('legend', null, f.decision === 'sent-on' ? tr('Sent on') : tr('No lens')),
    f.decision === 'sent-on' &&
      h(
        Field,
        { label: tr('Where to'), hint: tr('Shown on the family’s phones as you write it.') },
        h('input', {
          type: 'text',
          required: true,
          maxLength: 200,
          value: f.where,
          'data-test': 'sent-where',
          onInput: put('where'),
        }),
      ),
    h(
      Field,
      { label: tr('Why') },
      h(
        'select',
        { value: f.reason, onChange: put('reason') },
        REASONS.map(([key, words]) => h('option', { value: key }, heard(words))),
      ),
    ),
    h(Dates, { f, put, wear }),
  );
}

/** Until when no lens: a visit, or a date of review. @param {{f: Form, put: (key: keyof Form) => (e: Event) => void, wear: WearAnswer}} props */
function Dates({ f, put, wear }) {
  return [
    h(
      Field,
      { label: tr('Visit booked for'), hint: tr('The family is shown it.') },
      h('input', { type: 'date', min: wear.night, value: f.on, 'data-test': 'stays-on', onInput: put('on') }),
    ),
    h(Field, { label: tr('At') }, h('input', { type: 'time', value: f.at, disabled: !f.on, onInput: put('at') })),
    !f.on &&
      h(
        Field,
        {
          label: tr('Review by'),
          hint: tr('From then on the practice is reminded each day, so that nobody is stopped and forgotten.'),
        },
        h('input', {
          type: 'date',
          required: true,
          min: wear.night,
          value: f.review_by,
          'data-test': 'review-by',
          onInput: put('review_by'),
        }),
      ),
  ];
}
