// Drills: a test alert of the practice's own family for drills, from the report to
// the word to its phone.

import * as api from '../api.js';
import { h, Trouble, useAction, useFollow, useLoad, useState } from '../dom.js';
import { moment } from '../format.js';
import { link } from '../route.js';
import { Ticket } from './family.js';
import { heard } from '../heard.js';
import { point, tr } from '../text.js';

/** @import { Alert, Drill, Invitation, Me } from '../api.js' */

/** How far the word to the family's phones came. */
const FAMILY = {
  waits: tr('not yet'),
  none: tr('no phone takes drills'),
  failed: tr('could not be sent'),
  sent: tr('sent, not shown'),
  shown: tr('shown'),
};

/** A drill that nobody has taken, on every page but Today, where its card stands. @param {{alerts: Alert[]}} props */
export function DrillGoesOn({ alerts }) {
  const d = alerts.find(a => a.drill && a.state === 'open');
  if (!d) return null;
  return h(
    'p',
    { class: 'warn-box', 'data-test': 'drill-on' },
    h('b', null, tr('Drill: nobody is ill')),
    ' ',
    h('a', { class: 'button', href: link('today') }, tr('Open')),
  );
}

/** A drill in the queue. @param {{alert: Alert, me: Me, done: () => void}} props */
export function DrillCard({ alert, me, done }) {
  const action = useAction();
  const clinician = me.person.role === 'clinician';
  const take = () =>
    action.run(async () => {
      await api.acknowledge(alert.id);
      done();
    });
  return h(
    'article',
    { class: 'alert drill', 'data-test': 'drill-row', tabIndex: 0, 'aria-label': tr('Drill, nobody is ill') },
    h('h3', null, tr('Drill: nobody is ill')),
    h(
      'p',
      null,
      tr(
        'A test report since {date}. It goes to whoever is on duty, the deputy and everybody, as a red flag does. It ends when a clinician takes it.',
        { date: moment(alert.opened, me.practice.zone) },
      ),
    ),
    alert.desk_name &&
      h('p', null, tr('The desk has tapped ({desk_name}); a clinician is still told.', { desk_name: alert.desk_name })),
    !(alert.desk_name && !clinician) &&
      h(
        'button',
        { type: 'button', class: 'primary', 'data-test': 'acknowledge', disabled: action.busy, onClick: take },
        clinician ? tr('I have this drill') : tr('Desk has seen the drill'),
      ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
  );
}

/** Starting a drill, and how the last ones went. @param {{me: Me}} props */
export function Drills({ me }) {
  const got = useLoad(api.drills, 'drills');
  const action = useAction();
  const [ticket, setTicket] = useState(/** @type {Invitation|null} */ (null));
  useFollow(got.reload);
  const start = () =>
    action.run(async () => {
      await api.startDrill();
      got.reload();
    });
  const d = got.data;
  return h(
    'section',
    { class: 'card', 'data-test': 'drills' },
    h('h2', null, tr('Drills')),
    h(
      'p',
      null,
      tr(
        'A drill is a test report, marked as one. It goes the whole way of a red flag: to whoever is on duty, by mail, to the deputy, until a clinician takes it, and to the phones of the practice’s own family for drills. Nothing of it is among your wearers, figures or exports.',
      ),
    ),
    h(Trouble, { error: got.error, busy: got.busy && !d, retry: got.reload }),
    d &&
      h(
        'p',
        { class: 'buttons' },
        h(
          'button',
          { type: 'button', 'data-test': 'drill-start', disabled: action.busy || !!d.why, onClick: start },
          tr('Start a drill now'),
        ),
        d.why && h('span', { class: 'quiet', 'data-test': 'drill-why' }, ` ${heard(d.why)}.`),
      ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    d &&
      d.drills.length > 0 &&
      h(
        'div',
        { class: 'scroll' },
        h(
          'table',
          { 'data-test': 'drill-table' },
          h('thead', null, h('tr', null, ...HEADS.map(x => h('th', { scope: 'col' }, x)))),
          h('tbody', null, ...d.drills.map(x => h(Row, { key: x.id, of: x, zone: me.practice.zone }))),
        ),
      ),
    d && d.drills.length === 0 && h('p', { class: 'quiet' }, tr('There was none yet.')),
    d &&
      h(
        'p',
        { class: d.phones ? 'quiet' : 'overdue', 'data-test': 'drill-phones' },
        d.phones
          ? tr('Phones of the practice that hear what a family would hear: {n}.', { n: d.phones })
          : tr('No phone of the practice hears what a family would hear: add one, and turn notifications on there.'),
      ),
    ticket
      ? h(Ticket, {
          invitation: ticket,
          name: 'a phone of the practice',
          practice: me.practice,
          done: () => {
            setTicket(null);
            got.reload();
          },
        })
      : h(
          'button',
          {
            type: 'button',
            'data-test': 'drill-phone',
            disabled: action.busy,
            onClick: () => action.run(async () => setTicket(await api.drillPhone())),
          },
          tr('Add a phone for drills'),
        ),
  );
}

const HEADS = [tr('Started'), tr('By'), tr('First message sent'), tr('First shown'), tr('Taken'), tr('Family’s phone')];

/** @param {{of: Drill, zone: string}} props */
function Row({ of, zone }) {
  const at = (/** @type {string|undefined} */ t) => (t ? moment(t, zone) : '—');
  const taken = {
    running: tr('running'),
    answered: `${of.taken_by}${point(', ')}${at(of.ended)}`,
    unanswered: tr('nobody, given up {ended}', { ended: at(of.ended) }),
  }[of.state];
  return h(
    'tr',
    { 'data-test': 'drill-result', 'data-state': of.state },
    h('td', null, at(of.began)),
    h('td', null, of.by || tr('by itself')),
    h('td', null, at(of.sent)),
    h('td', null, of.shown || of.state === 'running' ? at(of.shown) : tr('on no device')),
    h(
      'td',
      { class: of.state === 'unanswered' ? 'overdue' : '' },
      taken,
      of.desk && tr(' (desk: {desk})', { desk: of.desk }),
    ),
    h('td', null, FAMILY[of.family]),
  );
}
