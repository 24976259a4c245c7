// Writing to the family outside an alert: a word, no lens until a date, lenses
// again. Below it what their phones show, whether it was read, and what they
// answered.

import * as api from '../api.js';
import { Field, h, Trouble, useAction, useEffect, useLoad, useState } from '../dom.js';
import { capital, day, eyes, moment, onlyEye, plural } from '../format.js';
import { PHRASES } from '../../ui/phrases.js';
import {
  blank,
  canRelease,
  diseaseOf,
  entriesOf,
  eyesIn,
  knownIn,
  LensOut,
  Resume,
  Standing,
  Stays,
  WearLine,
} from './close-form.js';
import { Claims, eyesOf } from './claims.js';
import { Half } from './half.js';
import { Unlikely } from './number-field.js';
import { useTyped } from './typed.js';
import { unsaved } from '../unsaved.js';
import { heard } from '../heard.js';
import { point, tr } from '../text.js';

/** @import { Me, WearAnswer } from '../api.js' */
/** @import { Claim } from '../types.js' */
/** @import { Decision, Form } from './close-form.js' */

/**
 * An entry of the family's log, as far as it is shown here.
 * @typedef {object} Entry
 * @property {string} id
 * @property {string} kind
 * @property {string} [recv] instant
 * @property {string} [by_name] of the practice
 * @property {Record<string, any>} body
 */

const VOICE = ['word', 'visit', 'cease', 'resume', 'reply'];
const SHOWN = 5; // entries before the older ones are folded away
/** What may be said by somebody who examines no eye. */
const DESK = ['wait-visit', 'call-us'];

/** @param {HTMLElement|null} el */
const focusIt = el => el?.focus();

/** By which what is half typed is kept. @param {Me} me @param {string} wearer */
const nameOf = (me, wearer) => `say ${me.person.id} ${wearer}`;

/** Whether somebody has begun to write to a family and not sent it. @param {Me} me @param {string} wearer */
export const halfSaid = (me, wearer) => !!unsaved(nameOf(me, wearer));

/** @param {{on: boolean, set: (on: boolean) => void}} props */
export const SayButton = ({ on, set }) =>
  h(
    'button',
    {
      type: 'button',
      'aria-expanded': on,
      'aria-label': tr('Write to the family'),
      title: tr('Write to the family'),
      'data-test': 'say-open',
      onClick: () => set(!on),
    },
    tr('Write'),
  );

/**
 * @param {object} props
 * @param {Me} props.me
 * @param {string} props.wearer
 * @param {string} [props.mark] another one once what the page shows of the wearer has changed
 * @param {Form['stop']} [props.stop] the eyes that a stop is offered for
 * @param {Claim} [props.claim] a decision that only a phone holds, to be written anew
 * @param {() => void} [props.wrote]
 */
export function Say({ me, wearer, mark = '', stop, claim, wrote }) {
  const got = useLoad(() => api.wear(wearer), `say-${wearer}`);
  const [last] = useState({ mark });
  useEffect(() => {
    if (last.mark !== mark) got.reload();
    last.mark = mark;
  }, [mark]);
  const [sent, setSent] = useState(0);
  const [anewOf, setAnew] = useState(claim);
  const done = () => {
    setAnew(undefined);
    setSent(sent + 1);
    got.reload();
    wrote?.();
  };
  return h(
    'section',
    { class: 'say no-print', 'aria-labelledby': 'say-title', 'data-test': 'say' },
    h('h2', { id: 'say-title', tabIndex: -1, ref: focusIt }, tr('Write to the family')),
    h(
      'p',
      { role: 'status', 'data-test': 'say-sent' },
      sent > 0 && tr('Written. Their phones show it when they next reach the server.'),
    ),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data && [
      h(WearLine, { wear: got.data }),
      got.data.review_by && h('p', null, tr('To be reviewed by {date}.', { date: day(got.data.review_by) })),
      h(Claims, {
        list: got.data.claims,
        wearer,
        may: me.person.role === 'clinician',
        write: setAnew,
        done: got.reload,
      }),
      h(SayForm, {
        key: `form-${sent}-${anewOf?.id}`,
        claim: anewOf,
        me,
        wear: got.data,
        stop: sent ? undefined : stop,
        done,
        again: got.reload,
      }),
      h(Shown, { key: 'shown', me, wear: got.data, again: got.reload }),
    ],
  );
}

/** Whether a refusal says that something came while the form was filled. @param {string|undefined} code */
const anew = code => code === 'causes-changed' || code === 'not-known';

/** A form filled in with a decision that only a phone holds, for its author to decide again. @param {Form} f @param {Claim} c @param {WearAnswer} w @returns {Form} */
function filledWith(f, c, w) {
  if (c.kind === 'cease')
    return { ...f, decision: 'stays', stop: eyesOf(c), review_by: later(c.review_by, f.review_by, w.night) };
  return canRelease(w)
    ? { ...f, decision: 'resume', eyes: eyesOf(c), from: later(c.from, '', w.night), check: !!c.check }
    : f;
}

/** A date that is still to come, or another. @param {string|undefined} date @param {string} other @param {string} tonight */
const later = (date, other, tonight) => (date && date >= tonight ? date : other);

/** @param {{me: Me, wear: WearAnswer, stop?: Form['stop'], claim?: Claim, done: () => void, again: () => void}} props */
function SayForm({ me, wear, stop, claim, done, again }) {
  const name = nameOf(me, wear.wearer) + (stop ? ` ${stop}` : '') + (claim ? ` ${claim.id}` : '');
  const clinician = me.person.role === 'clinician';
  const begun = () => {
    const reason = clinician ? 'examination' : 'other';
    const f = { ...blank(wear, stop ? 'stays' : 'none'), reason, ...(stop && { stop }) };
    return claim && clinician ? filledWith(f, claim, wear) : f;
  };
  const typed = useTyped(name, () => ({
    f: begun(),
    // What is decided is decided on what held when it was begun: the server refuses it once that changed.
    seen: /** @type {string[]|undefined} */ (undefined),
  }));
  const { f, seen } = typed.now;
  const change = (/** @type {Form} */ next) => typed.change({ f: next, seen: seen ?? wear.causes });
  const action = useAction();
  const stopped = eyesIn(wear, 'stop');
  /** @param {keyof Form} key */
  const put = key => (/** @type {Event} */ e) => {
    const el = /** @type {HTMLInputElement} */ (e.target);
    change({ ...f, [key]: el.type === 'checkbox' ? el.checked : el.value });
  };
  const disease = diseaseOf(f, wear, me);
  const stands = { lenses: wear.lenses_in, words: wear.unread };
  const send = (/** @type {api.Answer} */ answer) =>
    action.run(async () => {
      try {
        const entries = entriesOf(f, wear);
        const causes = seen ?? wear.causes;
        const cleared = disease ? f.cleared : '';
        await api.say(wear.wearer, { causes, entries, cleared, lens: f.lens, known: knownIn(f, stands), ...answer });
      } catch (x) {
        const { code } = /** @type {{code?: string}} */ (x);
        if (code === 'causes-changed') typed.change({ f, seen: undefined });
        if (anew(code)) again();
        throw x;
      }
      typed.forget();
      done();
    });
  /** @param {Decision} d @param {string} words */
  const choice = (d, words) =>
    h(
      'label',
      { class: 'switch' },
      h('input', {
        type: 'radio',
        name: 'say-decision',
        checked: f.decision === d,
        'data-test': `say-${d}`,
        onChange: () => change({ ...f, decision: d, phrase: '' }),
      }),
      words,
    );
  return h(
    'form',
    {
      class: 'close-form',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        send({});
      },
      'data-test': 'say-form',
    },
    typed.was && h(Half, { test: 'say-draft', forget: typed.forget }),
    h(
      'fieldset',
      null,
      h('legend', null, tr('About wear')),
      choice('none', tr('Only a word: nothing changes about wear')),
      choice('stays', tr('No lens until a visit or a review')), // the desk may stop, never release
      clinician && canRelease(wear) && choice('resume', tr('Lenses again, eye by eye, from a date')),
    ),
    f.decision === 'stays' && h(Eyes, { f, put }),
    f.decision === 'stays' && h(Stays, { f, put, wear }),
    f.decision === 'resume' && h(Resume, { f, put, wear, disease }),
    h(LensOut, { f, put, wear }),
    f.decision === 'resume' &&
      h(Standing, {
        stands,
        f,
        know: known => change({ ...f, known }),
        wearer: wear.wearer,
        of: wear.name,
        me,
        done: again,
      }),
    h(Words, { f, put, keys: phrasesFor(clinician, !!stopped || f.decision === 'stays') }),
    h(Unlikely, {
      error: action.error,
      busy: action.busy,
      yes: send,
      word: tr('Yes, send it all the same'),
    }),
    action.error &&
      !api.isQuestion(action.error) &&
      h(
        'p',
        { class: 'field-error', role: 'alert', 'data-test': 'say-error' },
        action.error.message,
        anew(action.error.code) && tr(' Nothing was written; what you typed is kept. Above is what holds now.'),
      ),
    h(
      'div',
      { class: 'buttons' },
      h(
        'button',
        {
          class: 'primary',
          'data-test': 'say-send',
          disabled: action.busy || (f.decision === 'none' && !f.phrase && !f.text.trim()),
        },
        tr('Send to the family'),
      ),
    ),
  );
}

/** "Until then no lens" is offered only where that is so. @param {boolean} clinician @param {boolean} noLens */
const phrasesFor = (clinician, noLens) =>
  Object.keys(PHRASES).filter(k => (clinician || DESK.includes(k)) && (noLens || k !== 'wait-visit'));

/** @param {{f: Form, put: (key: keyof Form) => (e: Event) => void}} props */
const Eyes = ({ f, put }) =>
  h(
    Field,
    { label: tr('Eyes without a lens') },
    h(
      'select',
      { required: true, value: f.stop, 'data-test': 'say-eyes', onChange: put('stop') },
      h('option', { value: '' }, tr('Choose…')),
      ['both', 'right', 'left'].map(e => h('option', { value: e }, onlyEye(e))),
    ),
  );

/** @param {{f: Form, put: (key: keyof Form) => (e: Event) => void, keys: string[]}} props */
const Words = ({ f, put, keys }) =>
  h(
    'div',
    { class: 'say-words' },
    h(
      Field,
      { label: tr('A word from the list'), hint: tr('Shown on their phones in their language.') },
      h(
        'select',
        { value: f.phrase, 'data-test': 'say-phrase', onChange: put('phrase') },
        h('option', { value: '' }, tr('Nothing from the list')),
        keys.map(k => h('option', { value: k }, heard(PHRASES[k]))),
      ),
    ),
    h(
      Field,
      { label: tr('In your own words'), hint: tr('Shown as you write it.') },
      h('textarea', { maxLength: 1000, rows: 3, 'data-test': 'say-text', value: f.text, onInput: put('text') }),
    ),
  );

/** @param {{me: Me, wear: WearAnswer, again: () => void}} props */
function Shown({ me, wear, again }) {
  const all = /** @type {Entry[]} */ (wear.entries).filter(e => VOICE.includes(e.kind));
  const gone = new Set(all.flatMap(e => [e.body.withdraws, e.body.moves]).filter(Boolean));
  const list = all.filter(e => !gone.has(e.id)); // that it was taken back stands in its place
  /** @param {Entry} e */
  const row = e => h(One, { key: e.id, e, wear, zone: me.practice.zone, again });
  return h(
    'div',
    { class: 'said-to' },
    h('h3', null, tr('What their phones show')),
    list.length
      ? h('ul', { 'data-test': 'say-shown' }, list.slice(0, SHOWN).map(row))
      : h('p', { class: 'quiet' }, tr('Nothing was written to this family about this child yet.')),
    list.length > SHOWN &&
      h(
        'details',
        null,
        h('summary', null, tr('Before that, {n}', { n: list.length - SHOWN })),
        h('ul', null, list.slice(SHOWN).map(row)),
      ),
    h(
      'p',
      { class: 'hint' },
      tr('What is over 30 days old leaves their first screen once it is read and no longer holds.'),
    ),
  );
}

/**
 * Takes a word back that went to the wrong family, or was wrong: asked first. A decision is
 * taken back by the next one.
 * @param {{e: Entry, wear: WearAnswer, again: () => void}} props
 */
function TakeBack({ e, wear, again }) {
  const [asked, ask] = useState(false);
  const action = useAction();
  const back = () =>
    action.run(async () => {
      const body = { text: 'Your clinic has taken back a message it sent here. It does not count.', withdraws: e.id };
      await api.say(wear.wearer, { causes: wear.causes, entries: [{ kind: 'word', body }] });
      again();
    });
  if (action.error) return h('p', { class: 'field-error', role: 'alert' }, action.error.message);
  return asked
    ? h(
        'button',
        { type: 'button', 'data-test': 'say-back-yes', disabled: action.busy, onClick: back },
        tr('Yes, take this message back'),
      )
    : h(
        'button',
        { type: 'button', class: 'small', 'data-test': 'say-back', onClick: () => ask(true) },
        tr('Take back'),
      );
}

/**
 * By which later decision one no longer holds: a stop by the release that lists it, a
 * release by whatever was decided about its eyes since.
 * @param {Entry} e @param {Entry[]} all newest first
 * @returns {Entry|undefined}
 */
export function overtakenBy(e, all) {
  const since = all.slice(
    0,
    all.findIndex(o => o.id === e.id),
  );
  const covers = (/** @type {Entry} */ o) => o.body.eyes === 'both' || o.body.eyes === e.body.eyes;
  if (e.kind === 'cease')
    return since.find(o => o.kind === 'resume' && covers(o) && (o.body.answers ?? []).includes(e.id));
  if (e.kind === 'resume') return since.find(o => ['cease', 'resume'].includes(o.kind) && covers(o));
  return undefined;
}

/** @param {{e: Entry, wear: WearAnswer, zone: string, again: () => void}} props */
function One({ e, wear, zone, again }) {
  const read = wear.receipts[e.id]?.read ?? [];
  const after = overtakenBy(e, /** @type {Entry[]} */ (wear.entries));
  const by = e.kind === 'reply' ? tr('The family answered') : (e.by_name ?? tr('The practice'));
  return h(
    'li',
    null,
    h('p', { class: 'quiet' }, `${by}${point(', ')}${moment(e.recv ?? '', zone)}`),
    linesOf(e).map(line => h('p', { dir: 'auto' }, line)),
    after &&
      h(
        'p',
        { class: 'quiet', 'data-test': 'overtaken' },
        e.kind === 'cease'
          ? tr('Answered by the release of {at}.', { at: moment(after.recv ?? '', zone) })
          : tr('Decided again on {at}.', { at: moment(after.recv ?? '', zone) }),
      ),
    e.kind !== 'reply' &&
      h(
        'p',
        { class: 'quiet' },
        onPhones(wear.receipts[e.id]),
        ' ',
        read.length
          ? tr('Read by {list}.', {
              list: read.map(r => `${r.name}${point(', ')}${moment(r.at, zone)}`).join(point('; ')),
            })
          : tr('Nobody has marked it as read.'),
      ),
    e.kind === 'word' && !e.body.withdraws && h(TakeBack, { e, wear, again }),
  );
}

/** Which of the family's phones hold an entry of the practice. @param {WearAnswer['receipts'][string]|undefined} r */
function onPhones(r) {
  if (!r?.of) return tr('The family has no phone in use.');
  return r.phones.length
    ? tr('On {n} of {phones}.', { n: r.phones.length, phones: plural(r.of, 'phone', 'phones') })
    : tr('On no phone of the family yet.');
}

/** The English of the family's catalogue. @param {Entry} e @returns {string[]} */
export function linesOf({ kind, body: b }) {
  if (b.withdraws) return [tr('Your clinic has taken back a message it sent here. It does not count.')];
  const whose = capital(eyes(b.eyes ?? ''));
  const at = b.at ? `${point(', ')}${b.at}` : '';
  /** @type {string[]} */
  const out = [];
  if (kind === 'visit')
    out.push(
      b.cancelled
        ? tr('The visit on {date} is off.', { date: day(b.on) })
        : tr('Visit booked: {date}{at}.', { date: day(b.on), at }),
    );
  if (kind === 'cease')
    out.push(
      b.from
        ? tr('No lens from the night of {from} on, until your clinic says so here. ({eyes}; review by {date})', {
            eyes: whose,
            from: day(b.from),
            date: day(b.review_by),
          })
        : tr('No lens until your clinic says so here. ({eyes}; review by {date})', {
            eyes: whose,
            date: day(b.review_by),
          }),
    );
  if (kind === 'resume')
    out.push(
      tr('{eyes}: lenses again from the night of {date}{more}.', {
        eyes: whose,
        date: day(b.from),
        more: b.check ? tr(', after an eye check that day') : '',
      }),
    );
  if (b.phrase in PHRASES) out.push(heard(PHRASES[b.phrase]));
  if (b.text && b.text !== PHRASES[b.phrase]) out.push(b.text);
  return out;
}
