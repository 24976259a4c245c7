// Styles of the screens that are fetched later: the first visit need not wait for
// them. As text and not as a sheet of its own, so that they come with their screens.
export const later = `
.no-consent main :is([data-test='wear-in'], [data-test='wear-out'], [data-test='wear-say'], [data-test='care-usual'],
  [data-test='missed-usual'], [data-test='look-fine'], [data-test='evening'], [data-test='not-worn'], [data-test='snooze'],
  [data-test='soak-skip'], [data-test='soak-care'], [data-test='hold-not-worn'], [data-test='pause-end'], [data-test='plan-read'], [data-test='to-write'],
  [data-test^='add-'], [data-test^='edit-'], [data-test^='back-'], .now a[href^='#/night/']),
.no-consent main details:has([data-test='anytime']),
.no-consent main .card:not(.child):has([data-test='care-usual'], [data-test='evening']):not(:has([data-test='look-not'])),
.no-form main > :not(.across) button {
  display: none;
}
.face .sides {
  display: grid;
  grid-template-columns: 1fr 1fr;
}
.fortnight {
  display: grid;
  grid-template-columns: repeat(7, minmax(0, 1fr));
  gap: 0.35rem;
  padding: 0;
  margin: 0;
  list-style: none;
}
.fortnight li,
.fortnight button {
  display: grid;
}
.fortnight button {
  justify-items: center;
  gap: 0.1rem;
  min-block-size: 4rem;
  inline-size: 100%;
  border: 1px solid var(--line);
  border-radius: 0.8rem;
  background: var(--card);
  padding: 0.3rem 0;
}
.fortnight .day {
  font-size: 0.8125rem;
  color: var(--quiet);
}
.fortnight svg {
  inline-size: 1.9rem;
  block-size: 1.9rem;
}
/* Seven of at least 48 px need all of a phone's width; the narrowest take five. */
@media (max-width: 30rem) {
  .fortnight {
    gap: 0.05rem;
    margin-inline: calc(1px - min(1.1rem, 5.5vw));
  }
  .fortnight button {
    border-radius: 0.4rem;
  }
}
@media (max-width: 23.4rem) {
  .fortnight {
    grid-template-columns: repeat(5, minmax(0, 1fr));
  }
}
.key {
  display: flex;
  flex-wrap: wrap;
  gap: 0.25rem 1rem;
  font-size: var(--small);
  color: var(--quiet);
  padding: 0;
  margin: 0.75rem 0 0;
  list-style: none;
}
.key li {
  display: flex;
  align-items: center;
  gap: 0.35rem;
}
.key svg {
  inline-size: 1.4rem;
  block-size: 1.4rem;
}
.m-worn {
  fill: var(--night);
  stroke: var(--night);
}
.m-half {
  fill: var(--night);
  stroke: var(--night);
}
.m-ring {
  fill: none;
  stroke: var(--edge);
}
.m-out {
  stroke: var(--warm);
}

/* Evening sight */
.scenes {
  display: grid;
  grid-template-columns: repeat(auto-fill, minmax(5.5rem, 1fr));
  gap: 0.5rem;
  border: 0;
  padding: 0;
  margin: 0;
  min-inline-size: 0;
}
.scene {
  display: grid;
  gap: 0.4rem;
  align-content: start;
  padding: 0.4rem;
  border: 2px solid var(--edge);
  border-radius: var(--round);
  background: var(--card);
  font-weight: 600;
  font-size: var(--text);
  line-height: 1.25;
  hyphens: auto;
}
.scene svg {
  inline-size: 100%;
  border-radius: 0.8rem;
}
.scene[aria-pressed="true"] {
  border-color: var(--strong);
  background: var(--night-soft);
  box-shadow: inset 0 0 0 2px var(--strong);
}
.scene:not([aria-pressed="true"]) .mark {
  display: none;
}

.face .sides {
  display: grid;
  grid-template-columns: 1fr 1fr;
}
.face {
  margin: 0 auto;
  inline-size: min(100%, 16rem);
  text-align: center;
}
.face

/* Help */
.cards {
  display: grid;
  grid-template-columns: repeat(auto-fill, minmax(min(100%, 15rem), 1fr));
  gap: 0.75rem;
}
.cards a {
  display: flex;
  flex-wrap: wrap;
  gap: 0.3rem min(0.9rem, 3vw);
  align-items: center;
  min-block-size: 4.5rem;
  padding: 0.7rem min(1rem, 4vw);
  border: 1px solid var(--line);
  border-radius: var(--round);
  background: var(--card);
  color: var(--ink);
  text-decoration: none;
  font-weight: 600;
}
.cards strong {
  flex: 1 1 7.5rem;
  min-inline-size: 0;
  font-weight: inherit;
}
.cards svg {
  flex: none;
  inline-size: min(3.5rem, 16vw);
  block-size: min(3.5rem, 16vw);
  color: var(--warm);
}
.figure {
  display: grid;
  place-items: center;
  background: #f6e2cf;
  border-radius: var(--round);
  padding: 1rem;
  color: var(--ink);
}
@media (prefers-color-scheme: dark) {
  .figure {
    background: #43352f;
  }
}
.figure svg {
  block-size: 9rem;
  inline-size: auto;
}
.dont {
  list-style: none;
  padding: 0;
}
.dont li {
  padding-inline-start: 2rem;
  position: relative;
  margin-block-end: 0.5rem;
}
.dont li::before {
  content: "✕";
  position: absolute;
  inset-inline-start: 0.35rem;
  color: var(--alarm);
  font-weight: 800;
}

/* Progress */
.figures {
  display: grid;
  grid-template-columns: repeat(auto-fit, minmax(min(100%, 8.5rem), 1fr));
  gap: 0.75rem;
  margin: 0;
}
.figures > div {
  background: var(--card);
  border: 1px solid var(--line);
  border-radius: var(--round);
  padding: 0.9rem;
}
.figures dt {
  color: var(--quiet);
  font-size: var(--small);
}
.figures dd {
  margin: 0;
  font-size: var(--huge);
  font-weight: 700;
  line-height: 1.2;
}
.sight-chart {
  inline-size: 100%;
  block-size: auto;
}

.qr {
  inline-size: 13rem;
  max-inline-size: 100%;
  block-size: auto;
  aspect-ratio: 1;
  justify-self: center;
  border-radius: 0.5rem;
}

/* Join */
.welcome {
  text-align: center;
}
.welcome .art {
  block-size: 8rem;
}
.code-field input {
  font-size: clamp(0.9rem, 7vw, 1.6rem);
  letter-spacing: 0.12em;
  text-align: center;
  text-transform: uppercase;
  font-variant-numeric: tabular-nums;
}

/* Sight test: black on white whatever the theme */
/* Its height is what counts; a narrow window may cut its width. */
.bank-card {
  max-inline-size: 100%;
  border: 2px solid var(--strong);
  background: var(--night-soft);
  border-radius: 0.9rem;
}
.entry {
  display: grid;
  gap: 0.35rem;
  grid-template-columns: minmax(0, 1fr);
}
.entry input,
.entry select,
.entry textarea {
  min-block-size: var(--touch);
  inline-size: 100%;
  min-inline-size: 0;
  padding: 0.5rem 0.8rem;
  border: 2px solid var(--edge);
  border-radius: 0.8rem;
  background: var(--card);
}
/* whole at 320 px with letters of 200 %, AM and PM too */
.entry input:is([type="time"], [type="date"]) {
  padding-inline: min(0.8rem, 3vw);
  font-size: min(1em, 10.5vw);
}
.entry input[type="date"] {
  font-size: min(1em, 8.5vw);
}
.entry input::-webkit-calendar-picker-indicator {
  margin-inline-start: 0;
  padding-inline-start: 0;
}
input[type="range"] {
  appearance: none;
  inline-size: 100%;
  min-block-size: var(--touch);
  margin: 0;
  background: transparent;
}
input[type="range"]::-webkit-slider-runnable-track {
  block-size: 0.9rem;
  border-radius: 999px;
  background: var(--edge);
}
input[type="range"]::-moz-range-track {
  block-size: 0.9rem;
  border-radius: 999px;
  background: var(--edge);
}
input[type="range"]::-webkit-slider-thumb {
  appearance: none;
  inline-size: 2.25rem;
  block-size: 2.25rem;
  margin-block-start: -0.675rem;
  border-radius: 999px;
  background: var(--strong);
}
input[type="range"]::-moz-range-thumb {
  inline-size: 2.25rem;
  block-size: 2.25rem;
  border-radius: 999px;
  background: var(--strong);
}
.steps {
  padding-inline-start: min(1.6rem, 9vw);
}
.steps > li {
  margin-block-end: 0.6rem;
  padding-inline-start: 0.3rem;
}
.steps > li::marker {
  font-weight: 800;
  color: var(--warm);
}
.check {
  display: flex;
  gap: min(0.75rem, 3vw);
  align-items: center;
  min-block-size: var(--touch);
  padding: 0.3rem 0;
  overflow-wrap: anywhere;
}
.check input {
  inline-size: min(1.6rem, 9vw);
  block-size: min(1.6rem, 9vw);
  accent-color: var(--strong);
  flex: none;
  margin: 0;
}
.choices.days {
  grid-template-columns: repeat(auto-fit, minmax(min(100%, 9rem), 1fr));
}
.bar {
  block-size: 0.9rem;
  border-radius: 999px;
  background: var(--sunk);
  border: 1px solid var(--edge);
  overflow: hidden;
}
.bar > span {
  display: block;
  block-size: 100%;
  background: var(--strong);
}
/* In sight beside the box, however low the screen is. */
.card-tools {
  position: sticky;
  inset-block-start: 0;
  z-index: 1;
  background: var(--paper);
  padding-block: 0.35rem;
  flex-wrap: wrap;
}
.card-tools input {
  flex: 1 1 5rem;
  min-inline-size: 0;
}
.stage {
  background: #fff;
  border-radius: var(--round);
  border: 1px solid var(--line);
  block-size: min(38vh, 24rem);
  display: grid;
  place-items: center;
  touch-action: none;
  overflow: hidden;
  color: #111;
}
.pad .btn {
  min-block-size: 3.5rem;
  font-size: var(--huge);
  padding-block: 0.2rem;
}

/* The ring stays black on white; marks take the reader's own colours. */
@media (forced-colors: active) {
  .bar > span {
    background: Highlight;
    forced-color-adjust: none;
  }
  .stage {
    forced-color-adjust: none;
  }
  .m-worn,
  .m-half {
    fill: CanvasText;
    stroke: CanvasText;
  }
  .m-ring,
  .m-out {
    stroke: CanvasText;
  }
  .cards svg {
    color: LinkText;
  }
}

.log-link {
  display: inline-flex;
  align-items: center;
  min-block-size: 48px;
}

/* The steps to the home screen of an iPhone. */
.drawn > li {
  flex-wrap: nowrap;
}
.drawn .drawing {
  inline-size: 3.5rem;
  block-size: 3.5rem;
  flex: none;
}

/* "Undo" one key before the page: seen while it has the focus. */
.undo-first {
  position: fixed;
  inset-block-start: calc(0.6rem + env(safe-area-inset-top));
  inset-inline-start: 1rem;
  z-index: 6;
}
.undo-first:not(:focus) {
  clip-path: inset(50%);
  pointer-events: none;
}
@media (forced-colors: active) {
  .saved {
    border: 2px solid CanvasText;
  }
}
@media (forced-colors: active) {
  .btn.main,
  .btn.alarm,
  .choice[aria-pressed="true"] {
    border-width: 4px;
  }
  .btn.plain {
    margin-inline: 0;
  }
}

.chip-icon {
  display: grid;
  flex: none;
}
.chip-icon svg {
  inline-size: 1.6rem;
  block-size: 1.6rem;
}

summary.btn {
  justify-content: start;
  text-align: start;
}
summary.summary {
  font-size: var(--big);
  font-weight: 700;
  min-block-size: var(--touch);
  display: flex;
  align-items: center;
  cursor: pointer;
  overflow-wrap: anywhere;
}
summary.summary::before {
  content: "+";
  margin-inline-end: 0.6rem;
  color: var(--warm);
}
details[open] > summary.summary::before {
  content: "−";
}
.page table {
  font-size: min(1em, 6vw);
}

/* Room to scroll the last button clear of the word that something was saved; it stays when the word goes. */
.frame:has(.saved, .room) > main {
  padding-block-end: calc(var(--saved) + 2.75rem);
}
/* What the tab key reaches is never left under the bar at the foot, nor under that word. */
html {
  scroll-padding-block-end: calc(6.5rem + env(safe-area-inset-bottom) + var(--saved, 0px));
}
/* A phone at a zoom of 200 %: the bar takes two lines. */
@media (max-width: 17rem) {
  .frame:has(.saved, .room) > main {
    padding-block-end: calc(var(--saved) + 5rem);
  }
  html {
    scroll-padding-block-end: calc(8.75rem + env(safe-area-inset-bottom) + var(--saved, 0px));
  }
  .top:has(.count) {
    flex-wrap: wrap;
  }
  .top:has(.count) > .name {
    flex-basis: 100%;
  }
  .choice > .small {
    display: none;
  }
}
/* A keyboard that takes its room from the window: the bar makes way for the field. */
@media (max-height: 30rem) {
  .frame:has(input:not([type="checkbox"]):focus, textarea:focus) .foot {
    position: relative;
  }
  html:has(input:not([type="checkbox"]):focus, textarea:focus) {
    scroll-padding-block-end: 0.75rem;
  }
}

/* Planks are laid as the language is read. */
[dir="rtl"] .jetty {
  transform: scaleX(-1);
}

@media (max-width: 15rem) {
  .cards a {
    grid-template-columns: minmax(0, 1fr);
  }
  .code-field input {
    letter-spacing: 0;
    padding-inline: 0.2rem;
  }
}
`;
