// The care plan: what is worn when, what care it takes, what it is replaced
// after, and the lenses. A change is a new version; the old ones stay.

import schedule from '../../../schedule/rules.json' with { type: 'json' };
import * as api from '../api.js';
import { asApiError, Field, FormFault, h, Trouble, useAction, useLayoutEffect, useLoad, useState } from '../dom.js';
import { faultsIn } from '../faults.js';
import { kept } from '../draft.js';
import { pick, put } from '../forms.js';
import { dated, day, lensOf, plural, prescription, title } from '../format.js';
import { PLAN_FIELDS, quantity, quantityWords } from '../quantities.js';
import { link, wearerPage } from '../route.js';
import { NumberField, Unlikely } from './number-field.js';
import { say } from '../said.js';
import { point, tr } from '../text.js';
import { keepUnsaved, unsaved } from '../unsaved.js';
import { Half } from './half.js';
import { heldSentences } from './reading.js';

/** @import { Me, Plan as CarePlan } from '../api.js' */
/** @import { Route } from '../route.js' */

/** @typedef {[string, string, 'date'|'time'|'number'|'text'|string[], string?]} Row path, label, kind or choices, hint */

const GROUPS = /** @type {[string, Row[]][]} */ ([
  [
    tr('Wear'),
    [
      ['first_night', tr('First night'), 'date'],
      ['taken_over', tr('Followed here from'), 'date', tr('Lenses from elsewhere: no visit due before is asked for.')],
      ['stopped', tr('First night without, by agreement'), 'date', tr('Empty while wear goes on.')],
      ['eyes', tr('Eyes'), ['both', 'right', 'left']],
      ['wear_from', tr('Insertion not before'), 'time'],
      ['wear_to', tr('Removal not after'), 'time'],
      ['min_hours', tr('Fewest hours in lenses'), 'number', tr('4 to 12 h')],
    ],
  ],
  [
    tr('Care'),
    [
      ['care_system', tr('System'), schedule.care_systems],
      ['soak_minutes', tr('Shortest disinfection'), 'number', tr('In minutes. Peroxide: 360 or more.')],
      ['deposit_removal_days', tr('Deposit removal every'), 'number', tr('In days. 0: not prescribed')],
      ['case_months', tr('New case every'), 'number', tr('1 to 3 months')],
      ['lens_months', tr('New lenses after'), 'number', tr('In months. 0: not set')],
      ['holder_months', tr('New holder after'), 'number', tr('In months. 0: not asked for')],
      ['acuity_every_days', tr('Sight measurement at home every'), 'number', tr('In days. 0: none')],
    ],
  ],
  [
    tr('Reminders'),
    [
      ['insertion_at', tr('Insertion'), 'time'],
      ['removal_at', tr('Removal'), 'time'],
      ['evening_sight_at', tr('Evening sight'), 'time'],
      ['quiet_from', tr('Quiet from'), 'time'],
      ['quiet_to', tr('Quiet until'), 'time'],
      ['remind_first', tr('Remind first'), ['teen', 'parent']],
      ['parent_after_minutes', tr('Then a parent after'), 'number', tr('In minutes. 0: never')],
    ],
  ],
  [
    tr('Before treatment'),
    [
      ['baseline_right', tr('Spherical equivalent right'), 'number', tr('In dioptres. 0: not set')],
      ['baseline_left', tr('Spherical equivalent left'), 'number', tr('In dioptres. 0: not set')],
    ],
  ],
]);

const LENS = /** @type {Row[]} */ ([
  ['base_curve_mm', tr('Base curve'), 'number'],
  ['diameter_mm', tr('Diameter'), 'number'],
  ['power', tr('Power'), 'number'],
  ['design', tr('Design'), 'text', tr('Spherical or toric, or your own words; no brand.')],
  ['supplied', tr('Supplied'), 'date'],
]);

/**
 * The series with another interval at its end. One longer than three months
 * begins with a visit at three, as the server's usual series does: no gap of six
 * months follows the first.
 * @param {import('../api.js').RecallStep[]} series
 * @param {number} months
 */
export function every(series, months) {
  const rest = series.filter(r => !(r.kind === 'recall' && r.months === 3));
  const at = rest.findIndex(r => r.every_months);
  if (at < 0) return series;
  const bridge = months > 3 ? [{ kind: 'recall', days: 0, months: 3, every_months: 0 }] : [];
  return [...rest.slice(0, at), ...bridge, { ...rest[at], every_months: months }, ...rest.slice(at + 1)];
}

/** @param {{me: Me, route: Route}} props */
export function Plan({ me, route }) {
  const got = useLoad(() => api.plans(route.arg), route.arg);
  if (!got.data) return h(Trouble, { error: got.error, busy: got.busy, retry: got.reload });
  const { plans, usual, wearer, birth, wear } = got.data;
  const held = heldSentences(wear);
  return h(
    'div',
    { class: 'plan' },
    h(
      'h1',
      null,
      tr('Plan: '),
      h('a', { href: link(wearerPage(me), wearer.id) }, wearer.name),
      ' ',
      h('span', { class: 'code' }, wearer.code),
    ),
    held.length > 0 &&
      h(
        'div',
        { class: 'warn-box', 'data-test': 'plan-held' },
        h('p', null, tr('The phones say this, and no plan lifts it:')),
        held.map(text => h('p', { key: text }, h('strong', null, text))),
      ),
    h(PlanForm, {
      may: me.person.role === 'clinician',
      name: `plan ${me.person.id} ${wearer.id}`,
      wearer: wearer.id,
      who: [wearer.name, wearer.code, birth && tr('born {date}', { date: day(birth) })]
        .filter(Boolean)
        .join(point(', ')),
      plan: plans[0] ?? usual,
      plans,
      isNew: !plans.length,
      saved: got.reload,
      today: me.today,
      key: `v${plans[0]?.version ?? 0}`,
    }),
    h(
      'section',
      { class: 'block' },
      h('h2', null, tr('Versions')),
      plans.length
        ? h(
            'ol',
            { class: 'versions' },
            plans.map((p, i) =>
              h(
                'li',
                { value: p.version },
                h(
                  'details',
                  { open: i === 0 },
                  h(
                    'summary',
                    null,
                    tr('Version {version}, from {date}', { version: p.version, date: day(p.from || p.first_night) }),
                    p.changed_by && tr(', by {changed_by}', { changed_by: p.changed_by }),
                    p.changed_at && `${point(', ')}${dated(p.changed_at, me.practice.zone)}`,
                  ),
                  p.why && h('p', null, p.why),
                  h(
                    'p',
                    { class: 'quiet' },
                    p.read_at
                      ? tr('Read by the family {date}', { date: dated(p.read_at, me.practice.zone) })
                      : tr('Not yet read by the family'),
                  ),
                  h(Differences, { now: p, before: plans[i + 1] }),
                ),
              ),
            ),
          )
        : h('p', { class: 'quiet' }, tr('No plan yet; the form shows the usual values.')),
    ),
  );
}

/** @param {HTMLElement|null} el */
const focusIt = el => el?.focus();

/** @param {{now: CarePlan, before?: CarePlan}} props */
function Differences({ now, before }) {
  if (!before) return h('p', { class: 'quiet' }, tr('The first version.'));
  const rows = [
    ...GROUPS.flatMap(([, list]) => list),
    ...['right', 'left'].flatMap(eye =>
      LENS.map(
        ([path, label, kind]) =>
          /** @type {Row} */ ([`${eye}.${path}`, `${lensOf(eye)}${point(', ')}${label.toLowerCase()}`, kind]),
      ),
    ),
  ];
  const changed = rows.filter(([path]) => (pick(now, path) ?? '') !== (pick(before, path) ?? ''));
  return changed.length
    ? h(
        'ul',
        null,
        changed.map(row =>
          h(
            'li',
            null,
            `${row[1]}${point(': ')}${words(row, pick(before, row[0]))} → ${words(row, pick(now, row[0]))}`,
          ),
        ),
      )
    : h('p', { class: 'quiet' }, tr('No field of this form changed.'));
}

/** @param {Row} row @param {unknown} v @returns {string} the value of a field as the page says it */
function words([path, , kind], v) {
  if (v === undefined || v === null || v === '') return tr('not set');
  if (kind === 'date') return day(String(v));
  if (kind === 'number') return quantityWords(Number(v), quantity(PLAN_FIELDS[path]));
  return Array.isArray(kind) ? title(String(v)) : String(v);
}

/** What each field of the form is called, by the server's code. @type {Record<string, string>} */
const LABELS = Object.fromEntries([
  ...GROUPS.flatMap(([, rows]) => rows.map(([path, label]) => [path, label])),
  ...['right', 'left'].flatMap(eye =>
    LENS.map(([path, label]) => [`${eye}.${path}`, `${lensOf(eye)}${point(', ')}${label}`]),
  ),
  ['from', tr('Applies from the night of')],
  ['why', tr('Why it changes')],
  ['remark', tr('Remark to the family')],
]);

/** Spherical equivalent in dioptres. @param {import('../api.js').Refraction} r */
const equivalent = r => Math.round((r.sphere + (r.cylinder ?? 0) / 2) * 100) / 100;

/** @typedef {{form: CarePlan, everyMonths: string, base: number}} Draft base: the version it was begun from */

/** @param {{may: boolean, name: string, wearer: string, who: string, plan: CarePlan, plans: CarePlan[], isNew: boolean, today: string, saved: () => void}} props may: change it, or else only read it; name: by which what is half typed is kept; who: the child in words */
function PlanForm({ may, name, wearer, who, plan, plans, isNew, today, saved }) {
  const [opened] = useState(() => {
    const everyMonths = String(plan.recalls?.find(r => r.every_months)?.every_months ?? 3);
    return { form: { ...plan, from: isNew ? '' : today, why: '' }, everyMonths, base: isNew ? 0 : plan.version };
  });
  const [draft, setDraft] = useState(() => /** @type {Draft|null} */ (unsaved(name)));
  const [form, setForm] = useState(/** @type {CarePlan} */ (draft?.form ?? opened.form));
  const [everyMonths, setEvery] = useState(draft?.everyMonths ?? opened.everyMonths);
  const base = draft?.base ?? opened.base;
  useLayoutEffect(() => {
    const same = form === opened.form && everyMonths === opened.everyMonths;
    keepUnsaved(name, may && !same ? { form, everyMonths, base } : null);
  }, [form, everyMonths]);
  const [turn, setTurn] = useState(0);
  const forget = () => {
    for (const path of Object.keys(PLAN_FIELDS)) keepUnsaved(`${name} ${path}`, null);
    setTurn(turn + 1); // what the fields refused goes with the rest
    setDraft(null);
    setForm(opened.form);
    setEvery(opened.everyMonths);
  };
  const action = useAction();
  const fault = action.error;
  const faults = faultsIn(fault, LABELS);
  /** @param {string} path @param {unknown} value */
  const set = (path, value) => {
    setForm(put(form, path, value));
    setAsked(false); // what was looked at is not this any more
  };
  const [asked, setAsked] = useState(false);
  const before = isNew && may ? kept() : null;
  const [newest, setNewest] = useState(/** @type {CarePlan|null} */ (null));
  const save = (/** @type {api.Answer} */ answer) => {
    const recalls = every(form.recalls ?? [], Number(everyMonths));
    action.run(async () => {
      try {
        await api.savePlan(wearer, { ...form, recalls, base: newest?.version ?? base, ...answer });
        keepUnsaved(name, null);
        say(tr('Saved.'));
        saved();
      } catch (error) {
        if (asApiError(error).code === 'plan-changed') setNewest((await api.plans(wearer)).plans[0] ?? null);
        throw error;
      }
    });
  };
  return h(
    'form',
    {
      class: 'card',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        setAsked(true);
      },
      'data-test': 'plan-form',
    },
    draft && h(Half, { test: 'plan-draft', forget }),
    !may &&
      h(
        'p',
        { class: 'quiet' },
        isNew
          ? tr('There is no plan yet; these are the usual values. A clinician makes it.')
          : tr('A clinician can change this.'),
      ),
    isNew &&
      may &&
      h(
        'div',
        { class: 'carry' },
        before
          ? [
              h(
                'p',
                null,
                tr('On the suitability page: right {minus_cylinder}, left {minus_cylinder2}. Of this wearer?', {
                  minus_cylinder: prescription(before.right.minus_cylinder),
                  minus_cylinder2: prescription(before.left.minus_cylinder),
                }),
              ),
              h(
                'button',
                {
                  type: 'button',
                  'data-test': 'plan-carry',
                  onClick: () =>
                    setForm({
                      ...form,
                      baseline_right: equivalent(before.right.minus_cylinder),
                      baseline_left: equivalent(before.left.minus_cylinder),
                    }),
                },
                tr('Take it as what was there before treatment'),
              ),
            ]
          : h('a', { href: link('suitability', wearer) }, tr('Look at suitability first')),
      ),
    h(
      'fieldset',
      { class: 'all', disabled: !may, key: turn },
      GROUPS.map(([group, rows]) =>
        h(
          'fieldset',
          { class: 'grid' },
          h('legend', null, group),
          rows.map(row =>
            h(Input, { row, draft: name, value: pick(form, row[0]), set, faults: faults.at, last: pick(plan, row[0]) }),
          ),
        ),
      ),
      h(
        'fieldset',
        { class: 'grid' },
        h('legend', null, tr('Visits')),
        h('p', { class: 'hint' }, tr('First morning, one week, two weeks, one month, then:')),
        h(
          Field,
          { label: tr('Every') },
          h(
            'select',
            {
              value: everyMonths,
              onChange: (/** @type {Event} */ e) => setEvery(/** @type {HTMLSelectElement} */ (e.target).value),
            },
            [3, 6].map(n => h('option', { value: n }, plural(n, 'month', 'months'))),
          ),
        ),
      ),
      ['right', 'left'].map(eye =>
        h(
          'fieldset',
          { class: 'grid' },
          h('legend', null, lensOf(eye)),
          LENS.map(([path, ...rest]) =>
            h(Input, {
              row: /** @type {Row} */ ([`${eye}.${path}`, ...rest]),
              of: lensOf(eye),
              draft: name,
              value: pick(form, `${eye}.${path}`),
              set,
              faults: faults.at,
              last: pick(plan, `${eye}.${path}`),
            }),
          ),
        ),
      ),
      may &&
        h(
          'fieldset',
          { class: 'grid' },
          h('legend', null, tr('This version')),
          h(Input, {
            row: ['from', tr('Applies from the night of'), 'date'],
            value: form.from,
            set,
            faults: faults.at,
          }),
          h(Input, {
            row: ['why', tr('Why it changes'), 'text', tr('For the practice.')],
            value: form.why,
            set,
            faults: faults.at,
          }),
          h(Input, { row: ['remark', tr('Remark to the family'), 'text'], value: form.remark, set, faults: faults.at }),
        ),
    ),
    h(FormFault, { error: fault, words: faults.rest }),
    h(Unlikely, { error: fault, busy: action.busy, yes: save, word: tr('Yes, save it all the same') }),
    newest &&
      h(
        'div',
        { class: 'card', 'data-test': 'plan-clash' },
        h(
          'p',
          null,
          tr(
            'Version {version}, by {changed_by}, changed this since you began. What you typed still stands above; saving again makes it the version after theirs.',
            { version: newest.version, changed_by: newest.changed_by || tr('somebody else') },
          ),
        ),
        h(Differences, { now: newest, before: plans.find(p => p.version === base) }),
      ),
    asked &&
      h(
        'div',
        { class: 'card', role: 'group', 'aria-label': tr('Look once more'), 'data-test': 'plan-look' },
        h('h3', { tabIndex: -1, ref: focusIt }, who),
        h(Differences, { now: form, before: isNew ? undefined : plan }),
        h(
          'div',
          { class: 'buttons' },
          h(
            'button',
            {
              type: 'button',
              class: 'primary',
              'data-test': 'plan-yes',
              disabled: action.busy,
              onClick: () => {
                setAsked(false);
                save({});
              },
            },
            tr('Yes, for this child'),
          ),
          h('button', { type: 'button', onClick: () => setAsked(false) }, tr('Change it')),
        ),
      ),
    may &&
      !asked &&
      h(
        'button',
        { class: 'primary', disabled: action.busy },
        newest
          ? tr('Save mine after version {version}', { version: newest.version })
          : isNew
            ? tr('Start this plan')
            : tr('Save as the next version'),
      ),
  );
}

/** @param {{row: Row, of?: string, draft?: string, value: unknown, last?: unknown, set: (path: string, value: unknown) => void, faults: Record<string, string>}} props of: what it belongs to, draft: of the form, last: in the version before */
function Input({ row, of, draft, value, last, set, faults }) {
  const [path, label, kind, hint] = row;
  const error = faults[path];
  /** @param {Event} e */
  const take = e => {
    set(path, /** @type {HTMLInputElement} */ (e.target).value);
  };
  if (kind === 'number') {
    const q = quantity(PLAN_FIELDS[path]);
    const needed = !path.includes('.');
    return h(NumberField, {
      quantity: q,
      label: of ? `${of}${point(', ')}${label.toLowerCase()}` : label,
      hint,
      error,
      name: path,
      required: needed,
      draft: draft && `${draft} ${path}`,
      value: /** @type {number|null|undefined} */ (value),
      last: /** @type {number|null|undefined} */ (last) ?? null,
      set: n => set(path, n),
    });
  }
  return h(
    Field,
    { label, hint, error },
    Array.isArray(kind)
      ? h(
          'select',
          { name: path, value: /** @type {string|number} */ (value ?? ''), onChange: take },
          kind.map(k => h('option', { value: k }, title(k))),
        )
      : h('input', {
          name: path,
          type: kind,
          value: /** @type {string|number} */ (value ?? ''),
          onInput: take,
        }),
  );
}
