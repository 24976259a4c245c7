// One alert in the queue: what was reported, whom to phone, and what to do
// about it.

import * as api from '../api.js';
import { asApiError, h, useAction, useState } from '../dom.js';
import { ago, both, capital, day, eyes, LANGUAGES, LEVEL, moment, reached, span, title } from '../format.js';
import { closedBefore, closedLately, lensesWords } from '../closings.js';
import { link, wearerPage } from '../route.js';
import { goOn } from '../../ui/focus.js';
import { tel } from '../../ui/tel.js';
import { say } from '../said.js';
import { CloseForm, halfClosed } from './close-form.js';
import { ConsentGone } from './consent-gone.js';
import { sentences } from './reading.js';
import { linesOf } from './say.js';
import { Words } from './words.js';
import { Waits } from './waits.js';
import { heard } from '../heard.js';
import { point, tr } from '../text.js';

/** @import { Alert, Me, OnDuty } from '../api.js' */
/** @import { Entry } from './say.js' */

const RED = ['emergency', 'urgent'];
/** Steps whose text is somebody's own words. */
const WORDED = ['comment', 'closed', 'called', 'reopened', 'cleared', 'desk-phoned'];
const SHAPE = { emergency: '▲', urgent: '◆', routine: '●', note: '○' };

/**
 * @param {{alert: Alert, me: Me, now: number, duty: OnDuty[], done: () => Promise<void>}} props
 */
export function AlertCard({ alert, me, now, duty, done }) {
  const [open, setOpen] = useState(alert.state !== 'closed' && halfClosed(me, alert) ? 'close' : '');
  const action = useAction();
  /** Does something, says that it is done, and goes to the card in its new place. @param {string} words @param {() => Promise<unknown>} job */
  const act = (words, job) => {
    const from = document.activeElement;
    action.run(async () => {
      try {
        await job();
      } catch (x) {
        if (asApiError(x).status === 409) await done(); // somebody else was quicker: the card says who
        throw x;
      }
      setOpen('');
      await done();
      say(`${words}${point(': ')}${alert.title}${point(', ')}${alert.wearer_name}.`);
      goOn(from, `[data-alert="${alert.id}"] h3`, '#alerts-title');
    });
  };
  /** @param {string} words @returns {(job: () => Promise<unknown>) => void} */
  const doing = words => job => act(words, job);
  const mayClose = me.person.role === 'clinician'; // the outcome is a clinical statement
  const live = alert.state !== 'closed';
  const before = closedBefore(alert, me.outcomes, me.practice.zone);
  const desk = RED.includes(alert.level) && !mayClose; // only a clinician stops the ladder of a red flag
  /** Whom a button is about: in a list of buttons, and from one card to the next, it stands alone. @param {string} words */
  const about = words => `${words}${point(': ')}${alert.wearer_name}${point(', ')}${title(alert.level).toLowerCase()}`;
  /** @param {string} name @param {string} words @param {string} [key] */
  const button = (name, words, key) =>
    h(
      'button',
      {
        type: 'button',
        'data-test': name,
        'aria-label': about(words),
        'aria-expanded': open === name,
        'aria-keyshortcuts': key,
        onClick: () => setOpen(open === name ? '' : name),
      },
      words,
    );
  const acknowledge = () =>
    act(desk ? tr('The desk has phoned') : tr('You have this'), () => api.acknowledge(alert.id));
  /** @param {KeyboardEvent} e */
  const keys = e => {
    const own = e.target === e.currentTarget || /** @type {Element} */ (e.target).matches('h3'); // its heading has the focus after a deed
    if (!own || e.ctrlKey || e.metaKey || e.altKey) return;
    if (e.key === 'a' && alert.state === 'open') acknowledge();
    else if (e.key === 'c' && mayClose && alert.state !== 'closed') setOpen('close');
    else if (e.key === 'm') setOpen('comment');
    else if (e.key === 'p' && live) setOpen('call');
    else if (e.key === 'h' && alert.state !== 'closed') setOpen('hand-over');
    else if (e.key === 'j' || e.key === 'k') step(/** @type {HTMLElement} */ (e.currentTarget), e.key === 'j' ? 1 : -1);
    else return;
    e.preventDefault();
  };
  return h(
    'article',
    {
      class: `alert ${alert.level} ${alert.state}`,
      'data-test': 'alert-row',
      'data-alert': alert.id,
      tabIndex: 0,
      onKeyDown: keys,
      'aria-label': `${title(alert.level)}${point(': ')}${alert.title}${point(', ')}${alert.wearer_name}`,
    },
    h(Head, { alert, me, now }),
    h(
      'div',
      { class: 'first' },
      h(Phone, { alert }),
      alert.state === 'open' &&
        !(desk && alert.desk_name) &&
        h(
          'button',
          {
            type: 'button',
            class: 'primary',
            'data-test': 'acknowledge',
            disabled: action.busy,
            onClick: acknowledge,
            'aria-label': about(desk ? tr('Desk has phoned') : tr('I have this')),
            'aria-keyshortcuts': 'a',
          },
          desk ? tr('Desk has phoned') : tr('I have this'),
        ),
    ),
    alert.birth &&
      h(
        'p',
        { 'data-test': 'alert-birth' },
        tr('Born {date}: ask for it before you say anything.', { date: day(alert.birth) }),
      ),
    h('p', { class: 'delivery' }, standing(alert, me)),
    before && h('p', { class: 'delivery', 'data-test': 'closed-before' }, before),
    alert.closed_before &&
      h(
        'p',
        { class: 'delivery', 'data-test': 'closed-lately' },
        h(
          'a',
          { href: link('archive', '', { wearer: alert.wearer }) },
          closedLately(alert, me.outcomes, me.practice.zone),
        ),
      ),
    before && h(DecidedSince, { alert, zone: me.practice.zone }),
    alert.right &&
      alert.left &&
      h(
        'p',
        { class: 'delivery', 'data-test': 'wear-card' },
        tr('Their phones say, each once it has reached the server: {eyes}', {
          eyes: sentences({ right: alert.right, left: alert.left }).join(' '),
        }),
      ),
    h(ConsentGone, { of: alert }),
    alert.state === 'open' && h(Duty, { duty }),
    h(Reported, { alert, me, now }),
    h(
      'div',
      { class: 'buttons' },
      live && mayClose && button('close', tr('Close with a decision…'), 'c'),
      live && button('call', tr('Log a call…'), 'p'),
      button('comment', tr('Comment…'), 'm'),
      live && button('hand-over', tr('Hand over…'), 'h'),
      live &&
        !mayClose && // a stop can be written by the desk too
        h(
          'a',
          {
            class: 'button',
            href: link('visits', alert.wearer, { write: 'yes' }),
            'data-test': 'card-write',
            'aria-label': about(tr('Write to the family')),
          },
          tr('Write'),
        ),
      !live && button('reopen', tr('Open again…')),
    ),
    open === 'close' && h(CloseForm, { alert, me, busy: action.busy, error: action.error, act: doing(tr('Closed')) }),
    open === 'call' && h(CallForm, { alert, busy: action.busy, act: doing(tr('Call logged')) }),
    open === 'comment' && h(CommentForm, { alert, busy: action.busy, act: doing(tr('Comment saved')) }),
    open === 'hand-over' && h(HandOverForm, { alert, me, busy: action.busy, act: doing(tr('Handed over')) }),
    open === 'reopen' && h(ReopenForm, { alert, busy: action.busy, act: doing(tr('Open again')) }),
    action.error &&
      !api.isQuestion(action.error) &&
      h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    h(History, { alert, me }),
  );
}

/**
 * Moves the focus to the next or the previous alert.
 * @param {HTMLElement} row
 * @param {number} by 1 or -1
 */
function step(row, by) {
  const rows = /** @type {HTMLElement[]} */ ([...document.querySelectorAll('[data-test=alert-row]')]);
  rows[rows.indexOf(row) + by]?.focus();
}

/**
 * @param {Alert} alert
 * @param {Me} me
 * @returns {string} who has it, or where delivery stands
 */
function standing(alert, me) {
  const zone = me.practice.zone;
  const handed = handedOn(alert, zone);
  const decided = lensesWords(alert.closings?.at(-1) ?? {});
  if (alert.state === 'closed' && decided)
    return tr('Closed: {outcome}. Lenses: {decided}.', {
      outcome: me.outcomes.find(o => o.key === alert.outcome)?.title ?? title(alert.outcome ?? ''),
      decided,
    });
  if (alert.state === 'closed')
    return tr('Closed: {title}.', {
      title: me.outcomes.find(o => o.key === alert.outcome)?.title ?? title(alert.outcome ?? ''),
    });
  if (alert.state === 'acknowledged') {
    const spoken = alert.spoken
      ? tr(' The family was reached {date}.', { date: moment(alert.spoken, zone) })
      : tr(' No call that reached the family is logged: after 30 minutes the deputy is told.');
    return tr('{ack_by_name} has this since {date}.{handed}{more}', {
      ack_by_name: alert.ack_by_name,
      date: moment(alert.ack_at ?? '', zone),
      handed,
      more: RED.includes(alert.level) ? spoken : '',
    });
  }
  const tried = alert.tried
    ? tr(' The family was phoned {date} and not reached.', { date: moment(alert.tried, zone) })
    : '';
  const desk = alert.desk_name
    ? tr(' The desk has phoned ({desk_name}, {date}); a clinician is still told.', {
        desk_name: alert.desk_name,
        date: moment(alert.desk_at ?? '', zone),
      })
    : '';
  return tr('Nobody has acknowledged this. {step}{desk}{tried}{handed}', {
    step: sentence(alert.step),
    desk,
    tried,
    handed,
  });
}

/**
 * To whom it was handed; of what is open again, who had taken what was reported before.
 * @param {Alert} alert @param {string} zone
 */
function handedOn({ assigned_name, ack_by_name, history }, zone) {
  if (!assigned_name || assigned_name === ack_by_name) return '';
  const last = history.filter(e => e.what === 'handed-over' || e.what === 'acknowledged').at(-1);
  if (last?.what !== 'acknowledged') return tr(' Handed to {assigned_name}.', { assigned_name });
  return tr(' {name} had taken what was reported before, {date}.', {
    name: last.who_name,
    date: moment(last.at, zone),
  });
}

/** @param {string} text @returns {string} with a capital and a full stop */
function sentence(text) {
  if (!text) return '';
  return text.charAt(0).toUpperCase() + text.slice(1) + (/[.!?。！？]$/.test(text) ? '' : point('.'));
}

/**
 * Whom, how bad, what and when: all that a phone in bed shows at first.
 * @param {{alert: Alert, me: Me, now: number}} props
 */
function Head({ alert, me, now }) {
  const e = alert.episode;
  return h(
    'header',
    null,
    h('p', { class: 'level' }, h('span', { 'aria-hidden': 'true' }, SHAPE[alert.level]), ' ', LEVEL[alert.level]),
    h('h3', { tabIndex: -1 }, alert.title, alert.eye && ` · ${eyes(alert.eye)}`),
    h(
      'p',
      { class: 'whom' },
      h('a', { href: link(wearerPage(me), alert.wearer) }, alert.wearer_name),
      alert.age && `${point(', ')}${alert.age}`,
      ' ',
      h('span', { class: 'code' }, alert.wearer_code),
      alert.language &&
        alert.language !== 'en' &&
        tr(', speaks {languages}', { languages: LANGUAGES[alert.language] ?? alert.language }),
      alert.phone_language &&
        alert.phone_language !== 'en' &&
        tr(', phone set to {languages}', { languages: LANGUAGES[alert.phone_language] ?? alert.phone_language }),
    ),
    h(
      'p',
      { class: 'times' },
      alert.review_due && tr('review was due {date}', { date: day(alert.review_due) }),
      !alert.review_due && began(alert, me, now),
      dated(e) && reported(alert, me, now),
      !alert.review_due &&
        !soon(e, alert) &&
        tr('{more}reached us {ago} ({alert})', {
          more: dated(e) ? point(', ') : '',
          ago: ago(reached(alert), now),
          alert: both(reached(alert), me.practice.zone, alert.zone),
        }),
    ),
    h(Waits, { alert, me, now }),
  );
}

/** Whether the report of the headline says when it was written: one that nobody could read says nothing. @param {Alert['episode']} e */
export const dated = e => !!e.headline && Date.parse(e.at) > 0;

/**
 * When the report was written, by the clock of the phone: where that is wrong it says
 * so, and how long ago is only told of what reached the practice.
 * @param {Alert} alert @param {Me} me @param {number} now
 */
function reported(alert, me, now) {
  const e = alert.episode;
  const at = both(e.at, me.practice.zone, alert.zone);
  if (!e.clock_off_ms) return tr('reported {ago} ({at})', { ago: ago(e.at, now), at });
  const off = span(Math.abs(e.clock_off_ms));
  return e.clock_off_ms < 0
    ? tr('reported {at} by the clock of the phone, which is {off} slow', { at, off })
    : tr('reported {at} by the clock of the phone, which is {off} fast', { at, off });
}

/** Whether a report reached the practice within two minutes. @param {Alert['episode']} e @param {Alert} alert */
const soon = (e, alert) =>
  dated(e) && !e.clock_off_ms && Math.abs(Date.parse(reached(alert)) - Date.parse(e.at)) < 120000;

/**
 * When what leads began, as its own report says: in the family's own words where
 * they chose words, because "a few hours ago" is no clock time.
 * @param {Alert} alert @param {Me} me @param {number} now
 */
function began(alert, me, now) {
  const e = alert.episode;
  if (e.began) return tr('began: {began}, ', { began: e.began });
  return e.began_at && !e.clock_off_ms
    ? tr('began {ago} ({began}), ', {
        ago: ago(e.began_at, now),
        began: both(e.began_at, me.practice.zone, alert.zone),
      })
    : '';
}

/** Who is on duty and who is next, one tap to phone. @param {{duty: OnDuty[]}} props */
function Duty({ duty }) {
  if (!duty.length) return h('p', { class: 'quiet' }, tr('Nobody is on duty now.'));
  return h(
    'p',
    { class: 'quiet', 'data-test': 'duty' },
    duty.map((p, i) => [
      i ? tr('; next: ') : tr('On duty: '),
      p.name,
      p.phone ? [' ', h('a', { href: tel(p.phone) }, p.phone)] : ` ${tr('(no number stored)')}`,
    ]),
    point('.'),
  );
}

/** The numbers to dial, the first one as a button. @param {{alert: Alert}} props */
function Phone({ alert }) {
  const [first, ...more] = (alert.contact ?? []).filter(c => c.phone);
  if (alert.state === 'closed') return null;
  if (!first) return h('p', { class: 'field-error' }, tr('The family has left no telephone number.'));
  /** @param {typeof first} c */
  const whose = c => (c.relation ? tr('{name}, {relation}', { name: c.name, relation: c.relation }) : c.name);
  return h(
    'div',
    { class: 'phone' },
    h(
      'a',
      { class: 'dial', href: tel(first.phone), 'data-test': 'dial' },
      h('span', { class: 'small' }, tr('Phone {first}', { first: whose(first) })),
      h('strong', null, first.phone),
    ),
    more.length > 0 &&
      h(
        'ul',
        { class: 'contacts' },
        more.map(c => h('li', null, h('a', { href: tel(c.phone) }, c.phone), ` ${whose(c)}`)),
      ),
  );
}

/** What the phone said: how soon and the lenses first, the rest a tap away. @param {{steps: string[]}} props */
function Told({ steps }) {
  if (steps.length < 5) return steps.join(' ');
  return [
    steps.slice(0, 3).join(' '),
    ' ',
    h('details', null, h('summary', null, tr('and {n} more steps', { n: steps.length - 3 })), steps.slice(3).join(' ')),
  ];
}

/** By which version of the rules the phone advised. @param {{told: Alert['episode']['told'][number]}} props */
const ByTable = ({ told }) =>
  h(
    'span',
    { class: 'quiet', 'data-test': 'told-by' },
    told.table === told.here
      ? tr('Version {version} of the rules.', { version: told.table })
      : tr(
          'The phone had version {version} of the rules; these words are version {here}: it may have said something else.',
          {
            version: told.table,
            here: told.here,
          },
        ),
  );

/** What the practice wrote to the family, newest first. @param {Alert} alert */
const saidOf = alert => /** @type {Entry[]} */ (alert.said ?? []);

/**
 * What was decided about wear since the last closing, by another door than a closing:
 * whoever phones would else say what no longer holds.
 * @param {{alert: Alert, zone: string}} props
 */
function DecidedSince({ alert, zone }) {
  const closed = alert.closings?.at(-1)?.said ?? [];
  const of = saidOf(alert).filter(e => ['cease', 'resume'].includes(e.kind));
  const at = of[0] && !closed.includes(of[0].id) ? of[0].recv : '';
  if (!at) return null;
  return h(
    'p',
    { class: 'delivery', 'data-test': 'decided-since' },
    h('strong', null, tr('Told since by {name}, {date}:', { name: of[0].by_name, date: moment(at, zone) })),
    ' ',
    of
      .filter(e => e.recv === at)
      .flatMap(linesOf)
      .join(' '),
  );
}

/** @param {{alert: Alert, when: (at: string) => string}} props */
const Said = ({ alert, when }) =>
  h(
    'ul',
    { class: 'seen', 'data-test': 'said' },
    saidOf(alert).map(e =>
      h(
        'li',
        { key: e.id },
        h(
          'span',
          { class: 'quiet' },
          `${e.by_name ?? tr('The practice')}${point(', ')}${when(e.recv ?? '')}${point(': ')}`,
        ),
        h('span', { dir: 'auto' }, linesOf(e).join(' ')),
      ),
    ),
    saidOf(alert).some(e => e.kind === 'resume') &&
      h('li', { class: 'quiet' }, tr('Where something newer holds a lens back, “lenses again” no longer holds.')),
  );

/** What was logged of the nights. @param {{list: Alert['episode']['logged'], when: (at: string) => string}} props */
const Logged = ({ list, when }) =>
  h(
    'ul',
    { class: 'seen', 'data-test': 'logged' },
    list.map(l => h('li', null, h('strong', null, l.text), h('span', { class: 'quiet' }, ` ${when(l.at)}`))),
  );

/**
 * Reports that could not be read, for whoever phones.
 * @param {{list: {at: string, text: string}[], when: (at: string) => string}} props
 */
const Raw = ({ list, when }) =>
  h(
    'div',
    { 'data-test': 'raw' },
    h('p', null, h('strong', null, tr('A report could not be read here: ask the family what it said. As it came:'))),
    list.map(r =>
      h('blockquote', { key: r.text }, h('code', { dir: 'ltr' }, r.text), h('footer', { class: 'quiet' }, when(r.at))),
    ),
  );

/**
 * What the reports of the episode say together: seen, denied, not answered,
 * the family's own words, and what the phone told them at once.
 * @param {{alert: Alert, me: Me, now: number}} props
 */
function Reported({ alert, me, now }) {
  const e = alert.episode;
  /** @param {string} at */
  const when = at => moment(at, me.practice.zone) + (e.clock_off_ms ? '' : `${point(', ')}${ago(at, now)}`);
  const logged = e.logged.length > 0 && h(Logged, { list: e.logged, when });
  const words =
    e.notes.length > 0 &&
    h(Words, {
      list: e.notes,
      wearer: alert.wearer,
      of: alert.wearer_name,
      may: me.person.role === 'clinician',
      zone: me.practice.zone,
      lang: alert.language,
      done: () => {},
    });
  const raw = (alert.raw?.length ?? 0) > 0 && h(Raw, { list: alert.raw ?? [], when });
  // Below the signs, where a report leads: what the log says, but for a lens that is in.
  const below = e.seen.length > 0 && e.level === alert.level ? e.logged.filter(l => !l.leads) : [];
  const above = e.logged.filter(l => !below.includes(l));
  const said = saidOf(alert).length > 0 && h(Said, { alert, when });
  if (!e.told.length)
    return (
      (logged || words || raw || said) &&
      h(
        'div',
        { class: 'reported' },
        raw,
        logged,
        words,
        said && h('dl', null, h('dt', null, tr('The family was told')), h('dd', null, said)),
      )
    );
  const saidLast = said && Date.parse(saidOf(alert)[0].recv ?? '') >= Date.parse(e.told[0].at);
  return h(
    'div',
    { class: 'reported' },
    raw,
    above.length > 0 && h(Logged, { list: above, when }),
    e.seen.length > 0 &&
      h(
        'ul',
        { class: 'seen', 'data-test': 'seen' },
        e.seen.map(s =>
          h(
            'li',
            null,
            h(
              'strong',
              null,
              `${s.eye ? `${capital(eyes(s.eye))}${point(': ')}` : ''}${s.sign.toLowerCase()}${point(', ')}${s.answer}`,
            ),
            h('span', { class: 'quiet' }, ` ${when(s.at)}`),
            h(
              'span',
              { class: 'quiet', 'data-test': 'began' },
              s.began ? tr('; began: {began}', { began: s.began }) : '',
              s.began_at ? tr('; began {when}', { when: when(s.began_at) }) : '',
            ),
            s.since &&
              h(
                'span',
                { class: 'quiet', 'data-test': 'since' },
                tr('; answered since: {since}', { since: s.since }),
                s.since_at && ` ${when(s.since_at)}`,
              ),
          ),
        ),
      ),
    below.length > 0 && h(Logged, { list: below, when }),
    words,
    h(
      'dl',
      null,
      e.denied.length > 0 && [h('dt', null, tr('No')), h('dd', { 'data-test': 'denied' }, e.denied.join(point('; ')))],
      e.denied_before?.map(d => [
        h('dt', null, tr('No, earlier')),
        h('dd', { 'data-test': 'denied-before' }, h('span', { class: 'quiet' }, `${when(d.at)}${point(': ')}`), d.text),
      ]),
      e.open.length > 0 && [
        h('dt', null, tr('Not answered')),
        h('dd', { 'data-test': 'not-answered' }, e.open.join(point('; '))),
      ],
      h('dt', null, tr('The family was told')),
      h(
        'dd',
        null,
        saidLast && said,
        h(
          'div',
          { 'data-test': 'told' },
          saidLast &&
            h('span', { class: 'quiet' }, `${tr('By the phone')}${point(', ')}${when(e.told[0].at)}${point(': ')}`),
          h(Told, { steps: e.told[0].steps }),
          ' ',
          e.told[0].table > 0 && h(ByTable, { told: e.told[0] }),
        ),
        !saidLast && said,
      ),
    ),
    e.told.length > 1 &&
      h(
        'details',
        null,
        h('summary', null, tr('What was told before, {n}', { n: e.told.length - 1 })),
        h(
          'ul',
          null,
          e.told
            .slice(1)
            .map(t => h('li', null, h('span', { class: 'quiet' }, `${when(t.at)}${point(': ')}`), t.steps.join(' '))),
        ),
      ),
  );
}

/**
 * @typedef {object} FormProps
 * @property {Alert} alert
 * @property {boolean} busy
 * @property {(job: () => Promise<unknown>) => void} act
 */

/** @param {HTMLElement|null} el */
const focusIt = el => el?.focus();

/** A try to phone the family: it ends nothing, the ladder goes on. @param {FormProps} props */
function CallForm({ alert, busy, act }) {
  const [result, setResult] = useState('');
  const [text, setText] = useState('');
  return h(
    'form',
    {
      class: 'inline-form',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        act(() => api.logCall(alert.id, result, text));
      },
    },
    h(
      'label',
      null,
      tr('The family was'),
      h(
        'select',
        {
          required: true,
          ref: focusIt,
          value: result,
          'data-test': 'call-result',
          onChange: (/** @type {Event} */ e) => setResult(/** @type {HTMLSelectElement} */ (e.target).value),
        },
        h('option', { value: '' }, tr('Choose…')),
        h('option', { value: 'reached' }, tr('reached')),
        h('option', { value: 'not-reached' }, tr('not reached')),
        h('option', { value: 'left-word' }, tr('left word')),
      ),
    ),
    h(
      'label',
      { class: 'grow' },
      tr('What was said'),
      h('input', {
        type: 'text',
        maxLength: 2000,
        value: text,
        onInput: (/** @type {Event} */ e) => setText(/** @type {HTMLInputElement} */ (e.target).value),
      }),
    ),
    h('button', { class: 'primary', 'data-test': 'call-save', disabled: busy }, tr('Log the call')),
    h('p', { class: 'hint' }, tr('A call is no ending: until a clinician has decided, the next person is told.')),
  );
}

/** @param {FormProps} props */
function ReopenForm({ alert, busy, act }) {
  const [text, setText] = useState('');
  return h(
    'form',
    {
      class: 'inline-form',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        act(() => api.reopen(alert.id, text));
      },
    },
    h(
      'label',
      { class: 'grow' },
      tr('Why it is opened again'),
      h('input', {
        type: 'text',
        required: true,
        maxLength: 2000,
        ref: focusIt,
        'data-test': 'reopen-why',
        value: text,
        onInput: (/** @type {Event} */ e) => setText(/** @type {HTMLInputElement} */ (e.target).value),
      }),
    ),
    h('button', { class: 'primary', 'data-test': 'reopen-save', disabled: busy }, tr('Open again')),
  );
}

/** @param {FormProps} props */
function CommentForm({ alert, busy, act }) {
  const [text, setText] = useState('');
  return h(
    'form',
    {
      class: 'inline-form',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        act(() => api.comment(alert.id, text));
      },
    },
    h(
      'label',
      { class: 'grow' },
      tr('Comment for the practice'),
      h('input', {
        type: 'text',
        required: true,
        maxLength: 2000,
        ref: focusIt,
        value: text,
        onInput: (/** @type {Event} */ e) => setText(/** @type {HTMLInputElement} */ (e.target).value),
      }),
    ),
    h('button', { class: 'primary', disabled: busy }, tr('Add')),
  );
}

/** @param {FormProps & {me: Me}} props */
function HandOverForm({ alert, me, busy, act }) {
  const [to, setTo] = useState('');
  return h(
    'form',
    {
      class: 'inline-form',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        act(() => api.handOver(alert.id, to));
      },
    },
    h(
      'label',
      null,
      tr('To'),
      h(
        'select',
        {
          required: true,
          ref: focusIt,
          value: to,
          onChange: (/** @type {Event} */ e) => setTo(/** @type {HTMLSelectElement} */ (e.target).value),
        },
        h('option', { value: '' }, tr('Choose…')),
        me.staff
          .filter(s => s.id !== me.person.id && s.role !== 'administrator')
          .map(s => h('option', { value: s.id }, `${s.name}${point(', ')}${title(s.role).toLowerCase()}`)),
      ),
    ),
    h('button', { class: 'primary', disabled: busy }, tr('Hand over')),
    h('p', { class: 'hint' }, tr('They are told at once. It counts as not acknowledged until they take it.')),
  );
}

/** @param {{alert: Alert, me: Me}} props */
function History({ alert, me }) {
  const { zone } = me.practice;
  /** @param {string} key */
  const outcome = key => me.outcomes.find(o => o.key === key)?.title ?? title(key);
  return h(
    'details',
    { class: 'history' },
    h('summary', null, tr('History, {n}', { n: alert.history.length })),
    h(
      'ol',
      null,
      alert.history.map(x =>
        h(
          'li',
          null,
          h('time', { dateTime: x.at }, moment(x.at, zone)),
          ` ${title(x.what)}`,
          x.who_name && tr(' by {who_name}', { who_name: x.who_name }),
          x.outcome && `${point(': ')}${outcome(x.outcome)}`,
          x.text && `${point(': ')}${WORDED.includes(x.what) ? x.text : heard(x.text)}`,
          x.last &&
            tr('; the same {more} more, last {date}', {
              more: x.times === 1 ? tr('once') : tr('{times} times', { times: x.times }),
              date: moment(x.last, zone),
            }),
        ),
      ),
    ),
  );
}
