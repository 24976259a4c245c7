// The family's phones: which there are, shutting one out, a code for one more,
// and the secret address for a calendar program. All of it needs the server.
import { h, useEffect, useState } from '../../ui/dom.js';
import { goOn } from '../../ui/focus.js';
import { Button, Card, Entry, Notice, Told } from '../../ui/parts.js';
import { Qr } from '../../ui/qr-view.js';
import { call } from '../data/api.js';

/** @import { ViewProps } from '../frame.js' */

/** @typedef {import('../../api/types.js').components['schemas']['OwnDevice']} Device */
/** @typedef {{run: (job: () => Promise<void>) => void}} Doing */

/** @param {ViewProps} props */
export function Devices({ app }) {
  const { t } = app.state.words;
  const [devices, setDevices] = useState(/** @type {Device[]|null} */ (null));
  const [made, setMade] = useState(/** @type {string|null} */ (null));
  const [fault, setFault] = useState('');
  /** @param {() => Promise<void>} job */
  const run = job => {
    setFault('');
    void job().catch(e =>
      setFault(
        e.code === 'offline' ? t('devices.offline') : t('devices.failed', { why: e instanceof Error ? e.message : '' }),
      ),
    );
  };
  const read = async () => {
    setDevices((await call('GET', '/api/devices')).devices);
    setMade((await call('GET', '/api/calendar')).made);
  };
  useEffect(() => run(read), []);
  return h(
    'div',
    { class: 'stack', 'data-test': 'devices' },
    h('h1', null, t('devices.title')),
    fault && h(Notice, { kind: 'urgent', live: true }, fault),
    devices &&
      h(
        Card,
        null,
        h('p', null, t('devices.lead')),
        h(
          'ul',
          { class: 'plain-list' },
          devices.map(d => h('li', { key: d.id }, h(One, { app, d, run, read }))),
        ),
      ),
    devices && h(Another, { app, run }), // not before the list, which would push its button down
    devices && app.state.family?.may_invite && h(SecondParent, { app, run }),
    devices && h(Calendar, { app, made, run, read }),
  );
}

/** @param {{app: ViewProps['app'], d: Device, read: () => Promise<void>} & Doing} props */
function One({ app, d, run, read }) {
  const s = app.state;
  const { t } = s.words;
  const [sure, setSure] = useState(false);
  const [name, setName] = useState(/** @type {string|null} */ (null)); // while it is changed
  const [lacking, setLacking] = useState(false);
  const seen = Date.parse(d.last_seen);
  const who = s.family?.people.find(p => p.id === d.person)?.name;
  const called = who ? `${who}: ${d.name}` : d.name;
  const drop = () =>
    run(async () => {
      await call('DELETE', `/api/devices/${encodeURIComponent(d.id)}`);
      await read();
    });
  const type = (/** @type {string|null} */ x) => {
    setLacking(false);
    setName(x);
  };
  const close = () => {
    goOn(document.activeElement, `#rename-${d.id} button`);
    type(null);
  };
  const rename = () =>
    run(async () => {
      setLacking(!name?.trim());
      if (!name?.trim()) return goOn(document.activeElement, `#name-${d.id}`);
      await call('PUT', `/api/devices/${encodeURIComponent(d.id)}`, { name });
      close();
      await read();
    });
  return h(
    'div',
    { class: 'stack' },
    h(
      'div',
      { class: 'row apart' },
      h(
        'span',
        null,
        h('strong', { dir: 'auto', 'data-test': 'device' }, called),
        d.this && ` (${t('devices.this')})`,
        h('br', null),
        h(
          'span',
          { class: 'quiet' },
          seen > 0 ? t('devices.seen', { time: s.words.moment(seen, s.zone) }) : t('devices.never'),
        ),
      ),
      d.may_drop &&
        !d.this &&
        !sure &&
        h(
          Button,
          {
            kind: 'plain',
            test: 'device-drop',
            label: `${t('devices.drop')}: ${called}`,
            onPress: () => setSure(true),
          },
          t('devices.drop'),
        ),
    ),
    d.may_drop &&
      name === null &&
      h(
        'div',
        { id: `rename-${d.id}` },
        h(
          Button,
          {
            kind: 'plain',
            test: 'device-rename',
            label: `${t('devices.rename')}: ${called}`,
            onPress: () => {
              goOn(document.activeElement, `#name-${d.id}`);
              type(d.name);
            },
          },
          t('devices.rename'),
        ),
      ),
    name !== null && [
      h(Entry, {
        key: 'name',
        id: `name-${d.id}`,
        label: t('devices.name'),
        value: name,
        max: 60,
        test: 'device-name',
        fault: lacking ? t('lacks.text') : '',
        onInput: type,
      }),
      h(
        'div',
        { class: 'row', key: 'do' },
        h(Button, { kind: 'main', test: 'device-name-save', onPress: rename }, t('save')),
        h(Button, { onPress: close }, t('cancel')),
      ),
    ],
    sure &&
      h(
        Notice,
        { kind: 'urgent', live: true },
        h('p', null, t('devices.drop.sure', { name: called })),
        h(
          'div',
          { class: 'row' },
          h(Button, { kind: 'alarm', test: 'device-drop-yes', onPress: drop }, t('devices.drop.yes')),
          h(Button, { onPress: () => setSure(false) }, t('cancel')),
        ),
      ),
  );
}

/** @param {{app: ViewProps['app']} & Doing} props */
function Another({ app, run }) {
  const s = app.state;
  const { t } = s.words;
  const [given, setGiven] = useState(/** @type {{code: string, url: string, expires: string}|null} */ (null));
  const make = () => run(async () => setGiven(await call('POST', '/api/devices/invitation', {})));
  return h(
    Card,
    { title: t('devices.add') },
    h(
      'div',
      { class: 'stack' },
      h('p', null, t('devices.add.lead')),
      given && h(Qr, { text: new URL(given.url, location.origin).href, label: t('devices.qr') }),
      given &&
        h(
          Told,
          { cls: 'lead', test: 'device-code' },
          t('devices.code', { code: given.code, time: s.words.moment(Date.parse(given.expires), s.zone) }),
        ),
      h(
        Button,
        { test: 'device-add', label: `${t('devices.add.button')}: ${t('devices.add')}`, onPress: make },
        t('devices.add.button'),
      ),
    ),
  );
}

/** Another parent, where the practice lets parents invite each other. @param {{app: ViewProps['app']} & Doing} props */
function SecondParent({ app, run }) {
  const { t, moment } = app.state.words;
  const [name, setName] = useState('');
  const [lacking, setLacking] = useState(false);
  const [given, setGiven] = useState(/** @type {{code: string, url: string, expires: string}|null} */ (null));
  const make = () =>
    run(async () => {
      setLacking(!name.trim());
      if (!name.trim()) return goOn(document.activeElement, '#invite-name');
      setGiven(await call('POST', '/api/family/people', { name: name.trim() }));
      await app.refreshFamily();
    });
  return h(
    Card,
    { title: t('invite.title') },
    h(
      'div',
      { class: 'stack' },
      h('p', null, t('invite.lead')),
      h(Entry, {
        id: 'invite-name',
        label: t('invite.name'),
        value: name,
        max: 80,
        test: 'invite-name',
        fault: lacking ? t('lacks.text') : '',
        onInput: x => {
          setLacking(false);
          setName(x);
        },
      }),
      given && h(Qr, { text: new URL(given.url, location.origin).href, label: t('devices.qr') }),
      given &&
        h(
          Told,
          { cls: 'lead', test: 'invite-code' },
          t('devices.code', { code: given.code, time: moment(Date.parse(given.expires), app.state.zone) }),
        ),
      h(
        Button,
        {
          test: 'invite-parent',
          label: `${t('devices.add.button')}: ${name.trim() || t('invite.title')}`,
          onPress: make,
        },
        t('devices.add.button'),
      ),
    ),
  );
}

/** @param {{app: ViewProps['app'], made: string|null, read: () => Promise<void>} & Doing} props */
function Calendar({ app, made, run, read }) {
  const s = app.state;
  const { t } = s.words;
  const [address, setAddress] = useState('');
  const make = () =>
    run(async () => {
      setAddress((await call('POST', '/api/calendar', {})).address);
      await read();
    });
  const end = () =>
    run(async () => {
      await call('DELETE', '/api/calendar');
      setAddress('');
      await read();
    });
  return h(
    Card,
    { title: t('calendar.title') },
    h(
      'div',
      { class: 'stack' },
      h('p', null, s.words.t('calendar.lead')),
      address
        ? h(
            'label',
            { class: 'entry' },
            h('span', { class: 'entry-label' }, t('calendar.address')),
            h('input', {
              readOnly: true,
              value: address,
              dir: 'ltr',
              'data-test': 'calendar-address',
              onFocus: (/** @type {Event} */ e) => /** @type {HTMLInputElement} */ (e.currentTarget).select(),
            }),
          )
        : made && h('p', { class: 'quiet' }, t('calendar.made', { time: s.words.moment(Date.parse(made), s.zone) })),
      h(
        'div',
        { class: 'row' },
        h(Button, { test: 'calendar-make', onPress: make }, t(made ? 'calendar.again' : 'calendar.make')),
        made && h(Button, { kind: 'plain', test: 'calendar-end', onPress: end }, t('calendar.end')),
      ),
    ),
  );
}
