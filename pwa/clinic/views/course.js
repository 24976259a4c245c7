// What becomes of a wearer beside the nightly log: lenses, stretches of wear and
// their ends, adverse events, what was answered before fitting, who consented.

import * as api from '../api.js';
import { h, Trouble, useLoad } from '../dom.js';
import { dated, day, prescription, title } from '../format.js';
import { link, wearerPage } from '../route.js';
import { point, tr } from '../text.js';
import { AdverseEvents } from './adverse.js';
import { Courses } from './ending.js';
import { Lenses } from './lenses.js';

/** @import { Course as Answer, Me } from '../api.js' */
/** @import { Route } from '../route.js' */

/** @param {{me: Me, route: Route}} props */
export function Course({ me, route }) {
  const clinician = me.person.role === 'clinician';
  const got = useLoad(async () => (clinician ? api.course(route.arg) : null), route.arg);
  const who = useLoad(() => api.plans(route.arg), route.arg);
  const wearer = who.data?.wearer;
  const c = got.data;
  return h(
    'div',
    { class: 'wearer-course', 'data-test': 'course-page' },
    h(
      'h1',
      null,
      tr('Lenses and course'),
      wearer && [
        point(': '),
        h('a', { href: link(wearerPage(me), wearer.id) }, wearer.name),
        ' ',
        h('span', { class: 'code' }, wearer.code),
      ],
    ),
    h(Lenses, { me, wearer: route.arg }),
    h(Trouble, { error: got.error, busy: got.busy && clinician && !c, retry: got.reload }),
    c && h(Courses, { course: c, done: got.reload }),
    c && h(AdverseEvents, { me, course: c, open: route.params.event ?? '', done: got.reload }),
    c && h(Before, { me, course: c }),
  );
}

/** What was answered before fitting, and who consented. @param {{me: Me, course: Answer}} props */
function Before({ me, course }) {
  const zone = me.practice.zone;
  return h(
    'section',
    { class: 'block', 'data-test': 'before' },
    h('h2', null, tr('Before fitting, and consent')),
    h('h3', null, tr('What was answered before fitting')),
    course.candidates.length
      ? course.candidates.map((k, i) =>
          h(
            'details',
            { key: k.id, open: i === 0 },
            h(
              'summary',
              null,
              tr('{date}, by {by}: {n} of {asked} questions answered', {
                date: dated(k.at, zone),
                by: k.by,
                n: Object.keys(k.answers).length,
                asked: k.asked,
              }),
            ),
            h(
              'p',
              null,
              tr('Right {right}, left {left}', { right: prescription(k.right), left: prescription(k.left) }),
            ),
            h(
              'ul',
              null,
              Object.entries(k.answers).map(([q, a]) => h('li', null, `${tr(q)} `, h('b', null, title(a)))),
            ),
            k.note && h('p', null, k.note),
          ),
        )
      : h(
          'p',
          { class: 'quiet' },
          tr('Nothing was kept. '),
          h('a', { href: link('suitability', course.wearer.id) }, tr('Ask on the suitability page')),
        ),
    h('h3', null, tr('Consent')),
    course.consents.length
      ? h(
          'ul',
          null,
          course.consents.map(k =>
            h(
              'li',
              null,
              k.withdrawn
                ? tr('{person} ({role}) took the consent back on {date}.', saidBy(k, zone))
                : tr('{person} ({role}) agreed to version {version} of the words on {date}.', saidBy(k, zone)),
            ),
          ),
        )
      : h('p', { class: 'quiet' }, tr('Nobody of the family has joined and agreed yet.')),
  );
}

/** @param {Answer['consents'][number]} k @param {string} zone */
const saidBy = (k, zone) => ({
  person: k.person,
  role: title(k.role).toLowerCase(),
  version: k.version,
  date: dated(k.at, zone),
});

/** @param {{wearer: string}} props */
export const CourseLink = ({ wearer }) =>
  h('a', { class: 'button', href: link('course', wearer), 'data-test': 'to-course' }, tr('Lenses and course'));

/** A date, or a dash. @param {string} d */
export const dayOr = d => (d ? day(d) : '–');
