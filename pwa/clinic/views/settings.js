// How the practice sets itself up: names and numbers, when the telephone is
// answered, who is on duty, how fast an alert climbs, and the limits of rules.
// An administrator changes it, everybody else reads it.

import * as api from '../api.js';
import {
  asApiError,
  Field,
  h,
  Trouble,
  useAction,
  useEffect,
  useLayoutEffect,
  useLoad,
  useRef,
  useState,
} from '../dom.js';
import { pick, put } from '../forms.js';
import { plural } from '../format.js';
import { confirming } from '../passkeys.js';
import { faultsOf, gapWords, merge, pathWords, toSend } from '../settings.js';
import { Half } from './half.js';
import { NumberField, Unlikely } from './number-field.js';
import { say } from '../said.js';
import { FirstPlace, isPlaced, Place } from './place.js';
import { OwnerMail } from './reached.js';
import { Rehearsals } from './rehearsals.js';
import { Absences, Closed, Holidays, Hours, Rota, SingleDates } from './settings-week.js';
import { SetupHere } from './setup.js';
import { tr } from '../text.js';
import { keepUnsaved, unsaved } from '../unsaved.js';

/** @import { Gap, Limit, Me, Settings as Wanted, SettingsAnswer } from '../api.js' */

/** @typedef {{form: Wanted, set: (path: string, value: unknown) => void, faults: Record<string, string>}} Editing */

const NAMES = /** @type {[string, string, string, string][]} path, label, kind, hint */ ([
  ['practice.name', tr('Name of the practice'), 'text', tr('As families see it.')],
  ['practice.contacts.phone', tr('Telephone'), 'tel', tr('What a family calls in your hours.')],
  [
    'practice.contacts.after_hours_phone',
    tr('Telephone after hours'),
    'tel',
    tr('Eye casualty or whoever is on call: what a family with a sore eye calls at night.'),
  ],
  [
    'practice.contacts.emergency_number',
    tr('Local emergency number'),
    'tel',
    tr('Shown with every emergency, without a network too.'),
  ],
  [
    'practice.contacts.emergency_place.name',
    tr('Emergency eye department'),
    'text',
    tr('Where a family goes when nobody answers.'),
  ],
  ['practice.contacts.emergency_place.address', tr('Its address'), 'text', tr('Shown on the phone without a network.')],
  ['practice.contacts.emergency_place.hours', tr('Its hours'), 'text', tr('Such as "day and night".')],
  ['practice.owner_mail', tr('Mail of the owner'), 'email', tr('Told when nobody else answers an alert.')],
]);

/** The ends of each step are the server's (escalate.Policy.Check); a name stands for the value of another step. */
const MINUTES =
  /** @type {{name: string, label: string, hint: string, min: number, over?: string, max: number, upTo?: string}[]} */ ([
    {
      name: 'unshown_minutes',
      label: tr('Not shown on any device: on to the deputy after'),
      hint: tr('At least 1, up to the next'),
      min: 1,
      max: 10,
      upTo: 'deputy_minutes',
    },
    {
      name: 'deputy_minutes',
      label: tr('Not acknowledged: mail, and the deputy, after'),
      hint: tr('1 to 10'),
      min: 1,
      max: 10,
    },
    {
      name: 'everyone_minutes',
      label: tr('Still not: everybody on the rota after'),
      hint: tr('More than the one before, up to 30'),
      min: 2,
      over: 'deputy_minutes',
      max: 30,
    },
    { name: 'repeat_minutes', label: tr('Then again every'), hint: tr('5 to 60'), min: 5, max: 60 },
    {
      name: 'lapse_minutes',
      label: tr('Still not: the owner is told, and the family to phone, after'),
      hint: tr('More than for everybody, up to 120'),
      min: 3,
      over: 'everyone_minutes',
      max: 120,
    },
    {
      name: 'still_open_minutes',
      label: tr('Acknowledged but not closed: reminder after'),
      hint: tr('60 to 10080, which is a week'),
      min: 60,
      max: 10080,
    },
  ]);

const MINUTE = {
  label: tr('Minutes'),
  unit: 'min',
  digits: 0,
  step: 1,
  whole: true,
  source: tr('our own limit'),
};

/** @param {{me: Me, changed: () => void}} props */
export function Settings({ me, changed }) {
  const got = useLoad(api.settings, 'settings');
  const [saved, setSaved] = useState(/** @type {{answer: SettingsAnswer, times: number}|null} */ (null));
  const [said, setSaid] = useState(false);
  useEffect(changed, []); // who may be on duty: somebody may have been added since
  const stored = saved?.answer ?? got.data;
  /** @param {SettingsAnswer} answer */
  const keep = answer => {
    setSaved({ answer, times: (saved?.times ?? 0) + 1 });
    setSaid(true);
    say(tr('Saved.'));
    scrollTo(0, 0);
    changed();
  };
  if (!stored) return h(Trouble, { error: got.error, busy: got.busy, retry: got.reload });
  return h(
    'div',
    { class: 'settings' },
    h('h1', null, tr('Settings')),
    said && h('p', { 'data-test': 'settings-saved' }, tr('Saved.')),
    h(SetupHere, { steps: stored.setup }),
    !isPlaced(stored) && h(FirstPlace, { me, stored, saved: keep }),
    isPlaced(stored) && [
      h(Gaps, { gaps: stored.gaps, zone: stored.practice.zone, slots: stored.rota.slots.length }),
      h(SettingsForm, { me, stored, key: `s${saved?.times ?? 0}`, saved: keep, again: () => setSaid(false) }),
      me.person.role === 'administrator' &&
        stored.practice.owner_mail &&
        h(OwnerMail, {
          mail: stored.practice.owner_mail,
          test: stored.owner_test,
          zone: stored.practice.zone,
          key: `o${saved?.times ?? 0}`,
        }),
      me.person.role === 'administrator' && h(Rehearsals, { me, changed: got.reload }),
    ],
  );
}

/** @param {{gaps: Gap[], zone: string, slots: number}} props */
function Gaps({ gaps, zone, slots }) {
  const within = gaps.filter(g => g.hours);
  const outside = gaps.filter(g => !g.hours);
  /** @param {Gap[]} list */
  const lines = list =>
    h(
      'ul',
      null,
      list.map(g => h('li', { key: g.from }, gapWords(g, zone))),
    );
  return h(
    'section',
    { class: 'card', 'data-test': 'gaps' },
    h('h2', null, tr('When nobody is on duty, next 28 days')),
    !slots && h('p', { class: 'overdue' }, tr('At no time is anybody on duty: the rota is empty.')),
    slots > 0 && !gaps.length && h('p', null, tr('Never: somebody is on duty all the time.')),
    slots > 0 &&
      within.length > 0 &&
      h(
        'div',
        null,
        h('p', { class: 'overdue' }, tr('{gaps} in your own hours:', { gaps: plural(within.length, 'gap', 'gaps') })),
        lines(within),
      ),
    slots > 0 &&
      outside.length > 0 &&
      h(
        'details',
        { open: outside.length < 6 },
        h('summary', null, tr('{gaps} outside your hours', { gaps: plural(outside.length, 'gap', 'gaps') })),
        h('p', { class: 'quiet' }, tr('An emergency then goes at once to everybody on the rota and to the owner.')),
        lines(outside),
      ),
  );
}

/** @param {{me: Me, stored: SettingsAnswer, saved: (answer: SettingsAnswer) => void, again: () => void}} props again: something is changed or tried after the last save */
function SettingsForm({ me, stored, saved, again }) {
  const [before] = useState(() => /** @type {{form: Wanted, opened: Wanted}|null} */ (unsaved('settings')));
  const [form, setForm] = useState(/** @type {Wanted} */ (before?.form ?? stored));
  const action = useAction();
  const faults = faultsOf(action.error?.message ?? '');
  const may = me.person.role === 'administrator';
  /** @type {Editing} */
  const editing = { form, faults, set: (path, value) => setForm(put(form, path, value)) };
  const [opened, setOpened] = useState(/** @type {Wanted} */ (before?.opened ?? stored));
  const [clash, setClash] = useState(/** @type {{taken: string[], both: string[]}|null} */ (null));
  const dirty = may && JSON.stringify(toSend(form)) !== JSON.stringify(toSend(opened));
  useLayoutEffect(() => {
    keepUnsaved('settings', dirty ? { form, opened } : null);
    if (dirty) again();
  }, [form, opened]);
  const forget = () => {
    setForm(stored);
    setOpened(stored);
  };
  const joined = async () => {
    const theirs = await api.settings();
    const { value, taken, both } = merge(toSend(opened), toSend(form), toSend(theirs));
    setForm({ .../** @type {Wanted} */ (value), revision: theirs.revision });
    setOpened(theirs);
    const real = (/** @type {string[]} */ list) => list.filter(p => p !== 'revision');
    setClash({ taken: real(taken), both: real(both) });
  };
  const save = (/** @type {boolean} */ sure) => {
    setClash(null);
    again();
    action.run(async () => {
      try {
        const answer = await confirming(() => api.saveSettings({ ...toSend(form), sure }));
        keepUnsaved('settings', null);
        saved(answer);
      } catch (error) {
        if (asApiError(error).code !== 'settings-changed') throw error;
        await joined();
      }
    });
  };
  return h(
    'form',
    {
      class: 'card',
      'data-test': 'settings-form',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        save(false);
      },
    },
    !may && h('p', { class: 'quiet' }, tr('An administrator can change these.')),
    before && dirty && h(Half, { test: 'settings-kept', forget }),
    h(
      'fieldset',
      { class: 'all', disabled: !may },
      h(Place, { of: form.practice, stored, faults, set: (name, value) => editing.set(`practice.${name}`, value) }),
      h(
        'fieldset',
        { class: 'grid' },
        h('legend', null, tr('The practice')),
        NAMES.map(row => h(Text, { row, editing })),
        h(Invites, { editing }),
        h(PrivateFrom, { editing }),
      ),
      h(Hours, { editing }),
      h(Closed, { editing }),
      h(
        'fieldset',
        { class: 'grid limits beside' },
        h('legend', null, tr('Appointments')),
        h(Whole, {
          editing,
          path: 'practice.visit_minutes',
          label: tr('How long one takes'),
          unit: 'min',
          max: 240,
          hint: tr('5 to 240 minutes: booking asks when two meet. 0: not set.'),
        }),
        h(Whole, {
          editing,
          path: 'practice.per_session',
          label: tr('Most in one stretch of your hours'),
          unit: '',
          max: 200,
          hint: tr('Booking asks when one more is booked. 0: not set.'),
        }),
      ),
      h(Rota, { me, editing }),
      h(SingleDates, { me, editing }),
      h(Holidays, { editing }),
      h(Absences, { me, editing }),
      h(Tick, {
        editing,
        path: 'practice.unwatched',
        words: tr(
          'Outside our hours nobody is on duty. Families read that perhaps nobody watches then, and what to phone.',
        ),
      }),
      h(Tick, {
        editing,
        path: 'practice.monthly_drill',
        words: tr('A drill each month: it starts by itself, an hour after we have opened.'),
      }),
      h(
        'fieldset',
        { class: 'grid limits beside' },
        h('legend', null, tr('How fast an alert climbs, in minutes')),
        MINUTES.map(row => h(Minutes, { row, editing })),
      ),
      h(
        'fieldset',
        { class: 'grid limits beside' },
        h('legend', null, tr('Limits of the alert rules')),
        h(
          'p',
          { class: 'hint wide' },
          tr('Only limits without a published value can be moved, and only so far. Empty: the usual value.'),
        ),
        stored.limits.map(limit => h(LimitField, { limit, editing, key: limit.name })),
      ),
    ),
    clash && h(Clash, { clash }),
    h(Unlikely, {
      error: action.error,
      busy: action.busy,
      yes: () => save(true),
      word: tr('Yes, save it all the same'),
    }),
    action.error?.code !== 'unlikely' && h(Unsaved, { error: action.error, faults }),
    may &&
      h(
        'p',
        { class: 'buttons' },
        h('button', { class: 'primary', disabled: action.busy, 'data-test': 'settings-save' }, tr('Save all')),
      ),
  );
}

/**
 * That nothing was saved, and what of it stands beside no field; the first field that
 * has a fault gets the focus.
 * @param {{error: import('../api.js').ApiError|undefined, faults: Record<string, string>}} props
 */
function Unsaved({ error, faults }) {
  const box = useRef(/** @type {HTMLElement|null} */ (null));
  const [rest, setRest] = useState(/** @type {string[]} */ ([]));
  useLayoutEffect(() => {
    const form = box.current?.closest('form');
    if (!error || !form) return setRest([]);
    const shown = [...form.querySelectorAll('.field-error')].filter(x => !box.current?.contains(x));
    const all = Object.keys(faults).length ? [...new Set(Object.values(faults))] : [error.message];
    setRest(all.filter(words => !shown.some(x => x.textContent?.endsWith(words))));
    const bad = form.querySelector('[aria-invalid=true]');
    if (bad instanceof HTMLElement) bad.focus();
  }, [error]);
  return h(
    'div',
    { ref: box },
    error &&
      h(
        'div',
        { class: 'field-error', role: 'alert', 'data-test': 'settings-unsaved' },
        h(
          'p',
          null,
          rest.length ? tr('Nothing was saved. To mend:') : tr('Nothing was saved. What to mend is marked above.'),
        ),
        rest.length > 0 &&
          h(
            'ul',
            null,
            rest.map(words => h('li', { key: words }, words)),
          ),
      ),
  );
}

/** @param {{editing: Editing, path: string, words: string}} props */
const Tick = ({ editing, path, words }) =>
  h(
    'label',
    { class: 'check' },
    h('input', {
      type: 'checkbox',
      name: path,
      checked: Boolean(pick(editing.form, path)),
      onChange: (/** @type {Event} */ e) => editing.set(path, /** @type {HTMLInputElement} */ (e.target).checked),
    }),
    ` ${words}`,
  );

/** Two administrators at once. @param {{clash: {taken: string[], both: string[]}}} props */
function Clash({ clash }) {
  return h(
    'div',
    { class: 'field-error', role: 'alert', 'data-test': 'settings-clash' },
    h(
      'p',
      null,
      tr(
        'Somebody else saved the settings meanwhile. Nothing of yours was saved yet, and all of it still stands above.',
      ),
    ),
    clash.taken.length > 0 &&
      h('p', null, tr('Their changes are now in the form: {list}.', { list: clash.taken.map(pathWords).join('; ') })),
    clash.both.length > 0 &&
      h(
        'p',
        null,
        tr('Both of you changed this, and the form has yours: {list}.', { list: clash.both.map(pathWords).join('; ') }),
      ),
    h('p', null, tr('Look it over and save again.')),
  );
}

/** @param {{row: [string, string, string, string], editing: Editing}} props */
function Text({ row: [path, label, kind, hint], editing }) {
  return h(
    Field,
    { label, hint, error: editing.faults[path] },
    h('input', {
      type: kind,
      name: path,
      maxLength: 254,
      value: String(pick(editing.form, path) ?? ''),
      'aria-invalid': editing.faults[path] ? 'true' : undefined,
      onInput: (/** @type {Event} */ e) => editing.set(path, /** @type {HTMLInputElement} */ (e.target).value),
    }),
  );
}

/** @param {{editing: Editing}} props */
function Invites({ editing }) {
  const path = 'practice.parents_invite';
  return h(
    'label',
    { class: 'wide' },
    h('input', {
      type: 'checkbox',
      name: path,
      checked: !!pick(editing.form, path),
      onChange: (/** @type {Event} */ e) => editing.set(path, /** @type {HTMLInputElement} */ (e.target).checked),
    }),
    tr(' A parent may invite another parent of the same family from the app. Each is named in the audit log.'),
  );
}

/** From which age a teen may write to the clinicians alone. @param {{editing: Editing}} props */
function PrivateFrom({ editing }) {
  return h(Whole, {
    editing,
    path: 'practice.private_from',
    label: tr('Private words of a teen, from which age'),
    unit: 'years',
    max: 18,
    hint: tr(
      'What a teen writes so is read by clinicians alone and reaches no other phone of the family. Your local law says what you may offer; 0 or empty: nobody.',
    ),
  });
}

/** @param {{row: typeof MINUTES[number], editing: Editing}} props */
function Minutes({ row, editing }) {
  const path = `policy.${row.name}`;
  /** @param {string} name @param {number} none */
  const other = (name, none) => /** @type {number|null} */ (pick(editing.form, `policy.${name}`)) ?? none;
  const min = row.over ? Math.max(row.min, other(row.over, 0) + 1) : row.min;
  const max = row.upTo ? Math.min(row.max, other(row.upTo, row.max)) : row.max;
  return h(NumberField, {
    quantity: { ...MINUTE, min, max, usual: [min, max] },
    label: row.label,
    hint: row.hint,
    error: editing.faults[path],
    name: path,
    required: true,
    value: /** @type {number} */ (pick(editing.form, path)),
    set: n => editing.set(path, n),
  });
}

/** A whole number of the practice. @param {{editing: Editing, path: string, label: string, unit: string, max: number, hint: string}} props */
function Whole({ editing, path, label, unit, max, hint }) {
  return h(NumberField, {
    quantity: {
      label,
      unit,
      digits: 0,
      step: 1,
      whole: true,
      min: 0,
      max,
      usual: [0, max],
      source: tr('the practice’s own choice'),
    },
    label,
    hint,
    error: editing.faults[path],
    name: path,
    value: /** @type {number|undefined} */ (pick(editing.form, path)),
    set: n => editing.set(path, n ?? undefined),
  });
}

/** @param {{limit: Limit, editing: Editing}} props */
function LimitField({ limit, editing }) {
  const { [limit.name]: now, ...rest } = editing.form.rule_settings;
  /** @param {number|null} n */
  const take = n => editing.set('rule_settings', n === null ? rest : { ...rest, [limit.name]: n });
  const range = {
    label: limit.label,
    unit: limit.unit,
    digits: 0,
    step: 1,
    whole: true,
    min: limit.min,
    max: limit.max,
    usual: [limit.min, limit.max],
    source: limit.why,
  };
  return h(NumberField, {
    quantity: range,
    label: limit.label.charAt(0).toUpperCase() + limit.label.slice(1),
    hint: tr('{min} to {max} {unit}, usual {default}: {why}.', {
      min: limit.min,
      max: limit.max,
      unit: limit.unit,
      default: limit.default,
      why: limit.why,
    }),
    error: editing.faults[`rule_settings.${limit.name}`],
    name: limit.name,
    placeholder: String(limit.default),
    value: now ?? null,
    set: take,
  });
}
