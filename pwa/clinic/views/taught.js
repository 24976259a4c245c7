// What the family was taught: the practice ticks what it has seen them do, the
// family what it can do by itself; both see both lists, with dates.

import * as api from '../api.js';
import { h, Trouble, useAction, useLoad } from '../dom.js';
import { day } from '../format.js';
import { SKILLS, ticked } from '../../ui/skills.js';
import { tr } from '../text.js';

/** @import { Ticked } from '../../ui/skills.js' */

/** @type {Record<typeof SKILLS[number], string>} */
const WORDS = {
  hands: tr('Washes and dries hands'),
  which: tr('Tells the right lens from the left'),
  in: tr('Puts a lens in'),
  comfort: tr('Says whether it sits well'),
  out: tr('Takes a lens out'),
  drops: tr('Loosens one that does not move'),
  care: tr('Cleans in the right order, without tap water'),
  dry: tr('Empties, wipes and dries the case'),
  wrong: tr('Knows when to take it out and phone'),
};

/** @param {{wearer: string}} props */
export function Taught({ wearer }) {
  const got = useLoad(() => api.wear(wearer), `taught-${wearer}`);
  const action = useAction();
  const rows = ticked(/** @type {Ticked[]} */ (got.data?.entries ?? []));
  const tick = (/** @type {string} */ skill, /** @type {boolean} */ on) =>
    action.run(async () => {
      const skills = SKILLS.filter(s => (s === skill ? on : rows.find(r => r.skill === s)?.taught));
      await api.say(wearer, { causes: got.data?.causes ?? [], entries: [{ kind: 'taught', body: { skills } }] });
      got.reload();
    });
  return h(
    'section',
    { class: 'card no-print', 'data-test': 'taught' },
    h('h2', null, tr('Taught')),
    h('p', { class: 'quiet' }, tr('Tick what you have seen them do. The family ticks what it can do by itself.')),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data &&
      h(
        'ul',
        { class: 'taught' },
        rows.map(r =>
          h(
            'li',
            { key: r.skill },
            h(
              'label',
              { class: 'switch' },
              h('input', {
                type: 'checkbox',
                checked: !!r.taught,
                disabled: action.busy || got.busy,
                'data-test': `taught-${r.skill}`,
                onChange: (/** @type {Event} */ e) => tick(r.skill, /** @type {HTMLInputElement} */ (e.target).checked),
              }),
              ` ${WORDS[r.skill]}`,
            ),
            h(
              'span',
              { class: 'quiet' },
              [
                r.taught && tr('seen {date} by {by_name}', { date: day(r.taught.night), by_name: r.taught.by_name }),
                r.learnt && tr('family: by itself since {date}', { date: day(r.learnt.night) }),
              ]
                .filter(Boolean)
                .join(' · '),
            ),
          ),
        ),
      ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
  );
}
