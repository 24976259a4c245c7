// Screens that are fetched after the start: all that nobody needs in the first
// seconds. Home, the eye check and its advice are never among them. The service
// worker keeps them all the same.
import { h, useEffect, useState } from '../../ui/dom.js';
import { Button, Notice } from '../../ui/parts.js';
import { loadLater } from '../text/text.js';

/** @import { ViewProps } from '../frame.js' */

/** @typedef {(p: ViewProps) => any} View */

/** @type {(() => Promise<void>)[]} */
const ALL = [];

/** @type {Promise<void>|null} */
let dressing = null;

/** Adds the styles of these screens, once. */
function dressed() {
  dressing ??= import('../../styles/later.js').then(
    m => {
      const sheet = new CSSStyleSheet();
      sheet.replaceSync(m.later);
      document.adoptedStyleSheets.push(sheet);
    },
    e => {
      dressing = null;
      throw e;
    },
  );
  return dressing;
}

/**
 * A screen that fetches itself, at once when it was fetched before.
 * @param {() => Promise<View>} load
 * @param {boolean} [quiet] nothing stands in its place while it cannot be had
 * @param {boolean} [rare] asked for once, and not fetched with the others
 * @returns {View}
 */
function later(load, quiet, rare) {
  /** @type {View|null} */
  let view = null;
  const fetch = () =>
    Promise.all([load(), loadLater(), dressed()]).then(([v]) => {
      view = v;
    });
  if (!rare) ALL.push(fetch);
  /** @type {View} */
  const Later = props => {
    const { t } = props.app.state.words;
    const [failed, setFailed] = useState(false);
    const [, turn] = useState(0);
    useEffect(() => {
      if (!view)
        void fetch().then(
          () => turn(1),
          () => setFailed(true),
        );
    }, []);
    if (view) return h(view, props);
    if (quiet) return null;
    if (failed)
      return h(
        Notice,
        { kind: 'urgent', live: true },
        t('unsent.fault.offline'),
        ' ',
        h(Button, { onPress: () => location.reload() }, t('trouble.reload')),
      );
    return h('p', { role: 'status' }, t('start.loading'));
  };
  return Later;
}

/** @typedef {(p: {app: import('../app.js').App}) => any} Piece */

/** What is old on this phone. @type {Piece} */
export const Aged = /** @type {any} */ (later(() => import('./aged.js').then(m => /** @type {any} */ (m.Aged)), true));
export const Told = /** @type {any} */ (later(() => import('./aged.js').then(m => /** @type {any} */ (m.Told)), true));
/** Which side is which. @type {Piece} */
export const Face = /** @type {any} */ (later(() => import('./face.js').then(m => /** @type {any} */ (m.Face)), true));
/** What can be logged at any time. @type {(p: Parameters<typeof import('./anytime.js').Anytime>[0]) => any} */
export const Anytime = /** @type {any} */ (
  later(() => import('./anytime.js').then(m => /** @type {any} */ (m.Anytime)), true)
);
/** What else is open today. @type {(p: Parameters<typeof import('./also.js').AlsoToday>[0]) => any} */
export const AlsoToday = /** @type {any} */ (
  later(() => import('./also.js').then(m => /** @type {any} */ (m.AlsoToday)))
);
/** Putting reminders off. @type {(p: Parameters<typeof import('./anytime.js').Snooze>[0]) => any} */
export const Snooze = /** @type {any} */ (
  later(() => import('./anytime.js').then(m => /** @type {any} */ (m.Snooze)), true)
);
/** What is not urgent in the log. @type {(p: Parameters<typeof import('./below.js').Calm>[0]) => any} */
export const Calm = /** @type {any} */ (later(() => import('./below.js').then(m => /** @type {any} */ (m.Calm)), true));
/** What was answered in a check; its props are those of `Answers` in answers.js. @type {any} */
export const Answers = later(() => import('./answers.js').then(m => /** @type {any} */ (m.Answers)), true);
/** How long is still to be rinsed; its props are those of `Rinse` in answers.js. @type {(p: Parameters<typeof import('./answers.js').Rinse>[0]) => any} */
export const Rinse = /** @type {any} */ (
  later(() => import('./answers.js').then(m => /** @type {any} */ (m.Rinse)), true)
);
/** Why the check opens after a short soak in peroxide. */
export const Soaked = later(() => import('./face.js').then(m => m.Soaked));
/** Why an advice is given; its props are those of `Because` in answers.js. @type {any} */
export const Because = later(() => import('./answers.js').then(m => /** @type {any} */ (m.Because)), true);
export const Acuity = later(() => import('./acuity.js').then(m => m.Acuity));
export const Cleared = later(() => import('./cleared.js').then(m => m.Cleared), false, true);
export const Devices = later(() => import('./devices.js').then(m => m.Devices));
export const Due = later(() => import('./due.js').then(m => m.Due));
export const Edit = later(() => import('./edit.js').then(m => m.Edit));
export const Evening = later(() => import('./evening.js').then(m => m.Evening));
export const Fragile = later(() => import('./iphone.js').then(m => m.Fragile), true);
export const First = later(() => import('./first.js').then(m => m.First), false, true);
/** @type {(p: {app: import('../app.js').App}) => any} */
export const Fortnight = /** @type {any} */ (
  later(() => import('./fortnight.js').then(m => /** @type {any} */ (m.Fortnight)))
);
export const Guide = later(() => import('./guide.js').then(m => m.Guide));
/** @type {(p: {app: import('../app.js').App}) => any} */
export const GuideOffer = /** @type {any} */ (
  later(() => import('./guide.js').then(m => /** @type {any} */ (m.GuideOffer)))
);
/** A lens that was lost. @type {(p: Parameters<typeof import('./lost.js').Lost>[0]) => any} */
export const Lost = /** @type {any} */ (later(() => import('./lost.js').then(m => /** @type {any} */ (m.Lost)), true));
export const Help = later(() => import('./help.js').then(m => m.Help));
/** Asked for once, before there is a log. @type {(p: Parameters<typeof import('./join.js').Join>[0]) => any} */
export const Join = /** @type {any} */ (
  later(() => import('./join.js').then(m => /** @type {any} */ (m.Join)), false, true)
);
/** What a night holds, at the foot of home; its props are those of `Logged` in logged.js. @type {(p: Parameters<typeof import('./logged.js').Logged>[0]) => any} */
export const Logged = /** @type {any} */ (later(() => import('./logged.js').then(m => /** @type {any} */ (m.Logged))));
export const More = later(() => import('./more.js').then(m => m.More));
/** That the clinic said something new. */
export const News = later(() => import('./said.js').then(m => m.News), true);
export const NightView = later(() => import('./night.js').then(m => m.NightView));
/** Who may have no lens, beside another screen, where {@link board} was not fetched first. @type {typeof import('./board.js').Others} */
export const Others = /** @type {any} */ (
  later(() => import('./board.js').then(m => /** @type {any} */ (m.Others)), true)
);
export const Parts = later(() => import('./parts.js').then(m => m.Parts), false, true);
/** @type {(p: Parameters<typeof import('./plan.js').PlanNews>[0]) => any} */
export const PlanNews = /** @type {any} */ (
  later(() => import('./plan.js').then(m => /** @type {any} */ (m.PlanNews)))
);
/** That wear has ended, or will; its props are those of `Ended` in plan.js. @type {(p: Parameters<typeof import('./plan.js').Ended>[0]) => any} */
export const Ended = /** @type {any} */ (
  later(() => import('./plan.js').then(m => /** @type {any} */ (m.Ended)), true)
);
export const Progress = later(() => import('./progress.js').then(m => m.Progress));
export const Reminders = later(() => import('./reminders.js').then(m => m.Reminders));
/** @type {(p: Parameters<typeof import('./said.js').Said>[0]) => any} */
export const Said = /** @type {any} */ (later(() => import('./said.js').then(m => /** @type {any} */ (m.Said))));
/** What a release still asks for. @type {Piece} */
export const Conditions = /** @type {any} */ (
  later(() => import('./said.js').then(m => /** @type {any} */ (m.Conditions)), true)
);
/** @type {(p: Parameters<typeof import('./coming.js').Soon>[0]) => any} */
export const Soon = /** @type {any} */ (later(() => import('./coming.js').then(m => /** @type {any} */ (m.Soon))));
/** What is still due, each with its button. @type {(p: Parameters<typeof import('./below.js').StillDue>[0]) => any} */
export const StillDue = /** @type {any} */ (
  later(() => import('./below.js').then(m => /** @type {any} */ (m.StillDue)), true)
);
export const Supplies = later(() => import('./supplies.js').then(m => m.Supplies));
/** The question where a stuck lens is, put again. @type {Piece} */
export const AskAgain = /** @type {any} */ (
  later(() => import('./against.js').then(m => /** @type {any} */ (m.AskAgain)))
);
/** What holds a lens back, above a form. @type {Piece} */
export const Above = /** @type {any} */ (
  later(() => import('./against.js').then(m => /** @type {any} */ (m.Above)), true)
);
/** That a lens is in still; its props are those of `StillThere` in against.js. @type {(p: Parameters<typeof import('./against.js').StillThere>[0]) => any} */
export const StillIn = /** @type {any} */ (
  later(() => import('./against.js').then(m => /** @type {any} */ (m.StillThere)), true)
);
/** Which lens alone is cleaned. @type {(p: {app: import('../app.js').App, eye: string}) => any} */
export const OnlyOne = /** @type {any} */ (
  later(() => import('./usual.js').then(m => /** @type {any} */ (m.OnlyOne)), true)
);
/** Why a lens that is in is to come out, where no stop says so. @type {(p: {app: import('../app.js').App, night: string}) => any} */
export const Barred = /** @type {any} */ (
  later(() => import('./against.js').then(m => /** @type {any} */ (m.Barred)), true)
);
/** The form of a part of the night; its props are those of `Usual` in usual.js. @type {(p: import('./usual.js').UsualProps) => any} */
export const Usual = /** @type {any} */ (later(() => import('./usual.js').then(m => /** @type {any} */ (m.Usual))));
/** What time it is here, where the browser does not say. */
export const Where = later(() => import('./where.js').then(m => m.Where), true);
export const Write = later(() => import('./write.js').then(m => m.Write));
export const Waiting = later(() => import('./below.js').then(m => m.Waiting));
export const Taught = later(() => import('./taught.js').then(m => m.Taught));
export const Unsent = later(() => import('./unsent.js').then(m => m.Unsent));

/** The first screen of several children, and what stands of the others beside another screen, once they are here. @type {{View: View|null, Others: typeof import('./board.js').Others|null, OthersDue: typeof import('./board.js').OthersDue|null}} */
export const board = { View: null, Others: null, OthersDue: null };

/** Fetches it: where there are several children, before the first paint. */
export const fetchBoard = () =>
  import('./board.js').then(
    m => {
      board.View = m.Board;
      board.Others = m.Others;
      board.OthersDue = m.OthersDue;
    },
    () => {},
  );
ALL.push(fetchBoard);

/** Fetches every screen of a family, so that none of them is waited for. */
export const fetchLater = () => Promise.allSettled(ALL.map(fetch => fetch()));
