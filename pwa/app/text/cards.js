// The help cards: those of alerts/texts.json and the everyday ones here.
// Sources are publications; "common practice" is a fact of the trade. Each
// other language is a file of its own, fetched when a card is wanted in it.
import medical from '../../../alerts/texts.json' with { type: 'json' };

/** The help cards of the rules' own texts, in English. */
const CARDS = /** @type {{id: string, title: string, do: string[], dont: string[], source: string}[]} */ (
  medical.cards
);

/** @import { Lang } from './text.js' */

/** @typedef {{title: string, do: string[], dont: string[]}} CardText what is translated of a card */

/**
 * @typedef {object} HelpCard
 * @property {string} id
 * @property {'urgent'|'everyday'} group
 * @property {string} title
 * @property {string[]} do
 * @property {string[]} dont
 * @property {string} source
 * @property {string[]} [system] shown only to wearers with one of these care systems
 * @property {string} [art] name of the drawing, when it is not the id
 * @property {Lang} [lang] of the text, absent for English
 */

/** @type {HelpCard[]} */
const EVERYDAY = [
  {
    id: 'insertion',
    group: 'everyday',
    system: ['multipurpose', 'other'],
    title: 'Putting the lenses in',
    do: [
      'Wash your hands with soap, rinse, and dry them with a clean lint-free cloth.',
      'Close the plug or lay a clean towel down. Start with the same eye every time.',
      'Rinse the lens with fresh solution as your clinic showed you. Look for chips, cracks and dirt.',
      'Fill the lens as your clinic showed you, look down into a mirror, hold both lids, and place it on the centre of the eye.',
      'Blink gently. If there is a bubble or it feels sharp, take it out, rinse with solution and try again.',
      'Empty the case, wipe it with a clean tissue and leave it open to dry.',
    ],
    dont: [
      'Never rinse a lens with tap water.',
      'Never put a lens in a sore or red eye.',
      'Never put in a lens whose soak is not over.',
    ],
    source: 'CDC, contact lens care (hands, no water); the rest is common practice',
  },
  {
    id: 'removal',
    group: 'everyday',
    title: 'Taking the lenses out',
    do: [
      'Wash and dry your hands.',
      'Put in the wetting drops your clinic gave you and wait a few minutes.',
      'Look straight ahead and blink: the lens must move before it is taken out.',
      'Take it out by the lids or with the holder, as your clinic showed you.',
      'Clean and store it at once.',
    ],
    dont: ['Never pull at a lens that does not move: see “A stuck lens”.', 'Never use tap water.'],
    source: 'Drops before removal: Chan, Cho and Cheung 2008; common practice',
  },
  {
    id: 'cleaning-multipurpose',
    art: 'cleaning',
    group: 'everyday',
    system: ['multipurpose'],
    title: 'Cleaning with multipurpose solution',
    do: [
      'Put the lens in the palm, add solution, and rub each side gently as long as the label says.',
      'Rinse it with fresh solution.',
      'Put it in its side of the case, R right and L left. Fill with fresh solution.',
      'Close the case and log the time: the soak starts now.',
    ],
    dont: [
      'Never top up old solution.',
      'Never use tap water or saline to disinfect.',
      'Never shorten the soak on the label.',
    ],
    source: 'CDC, contact lens care; Cope 2015 (MMWR 64, no. 32); label of the solution',
  },
  {
    id: 'cleaning-peroxide',
    group: 'everyday',
    art: 'peroxide',
    system: ['peroxide'],
    title: 'Cleaning with hydrogen peroxide',
    do: [
      'Put the lenses in the holder of the special case.',
      'Rinse them with the solution, fill the case to the line, and close it with the neutraliser in place.',
      'Leave it for at least 6 hours, or longer if the label says so.',
      'Log when the case was closed. The app counts.',
      'With each new bottle use the new case that comes with it: the old disc or ring is worn out.',
    ],
    dont: [
      'Never put peroxide solution in the eye or on a lens that goes straight in.',
      'Never use a flat case or leave out the neutraliser.',
      'Never use the old case with a new bottle.',
      'Never share the bottle with somebody who does not know it.',
    ],
    source: 'FDA consumer notice 2016 on hydrogen peroxide solutions: a new case with each bottle',
  },
  {
    id: 'case-care',
    group: 'everyday',
    title: 'The case',
    do: [
      'Empty it every day, as soon as the lenses are in.',
      'Rinse it with solution, wipe every part with a clean tissue.',
      'Leave it open, upside down, on a clean tissue.',
      'Use a new one as often as your plan says, and at least every three months.',
    ],
    dont: ['Never rinse the case with tap water.', 'Never let it only drip dry: wipe it.'],
    source:
      'CDC, contact lens care; study of 194 overnight wearers (Cont Lens Anterior Eye 2020;43:178): wiping beats air-drying, monthly beats three-monthly replacement',
  },
  {
    id: 'spectacles',
    group: 'everyday',
    title: 'Spare spectacles',
    do: [
      'Have spectacles ready for days after a missed night or for a sore eye.',
      'Ask your clinic which pair to use: an old pair may be too strong while the effect lasts.',
    ],
    dont: ['Do not drive, ride or cycle with blurred sight.'],
    source: 'FDA class labelling: sight fluctuates after a lapse; the rest is common practice',
  },
  {
    id: 'travel',
    group: 'everyday',
    title: 'Travelling',
    do: [
      'Pack lenses, case, a full bottle of your own solution, drops, holder and spectacles. Keep them in hand luggage.',
      'Take your clinic’s number and this app.',
      'Keep to your nights by the clock of where you sleep.',
      'Use bottled solution only. If it runs out, leave the lenses out.',
    ],
    dont: [
      'Do not sleep in lenses on a journey where you cannot wash your hands.',
      'Never use water from a tap, bottle or hotel bathroom.',
    ],
    source: 'CDC, contact lens care; common practice',
  },
  {
    id: 'illness',
    group: 'everyday',
    title: 'When you are ill',
    do: [
      'With fever, a cold or feeling unwell: leave the lenses out and log why.',
      'Disinfect the lenses again before the first night back.',
      'Ask your clinic when to start again. Sight may blur meanwhile: spectacles.',
    ],
    dont: ['Do not wear lenses while unwell.'],
    source:
      'Adherence survey 2025, doi 10.33791/2222-4408-2025-2-101-109: no wear during respiratory infection; common practice',
  },
  {
    id: 'water',
    group: 'everyday',
    title: 'Swimming and showering',
    do: [
      'Shower and swim with the lenses out.',
      'If water got on a lens in the eye: take it out, clean and soak it in full, and log it.',
      'In the months after that take any red, sore or blurred eye as urgent, also if it hurts little.',
    ],
    dont: ['No lenses in the pool, the sea, a hot tub, the bath or the shower.'],
    source:
      'CDC; Cope 2016 (Acanthamoeba and tap water); CDC, clinical overview: some patients have no pain; weeks to months: from memory of textbooks; for how long a practice watches is its setting, which the eye check says',
  },
  {
    id: 'water-on-lens',
    group: 'everyday',
    art: 'water',
    title: 'Water on a lens or the case',
    do: [
      'On a lens that is in: take it out with clean, dry hands.',
      'Clean, rub and soak the lens in full before the next wear. If there is no time, leave it out tonight.',
      'Water in the case: use a new case.',
      'Log it. In the months after that take any red, sore or blurred eye as urgent, also if it hurts little.',
    ],
    dont: ['Do not dry the case with a towel and use it on.', 'Do not put a wet lens straight in.'],
    source:
      'CDC; Cope 2016 (odds 16 with tap-water storage, rigid-lens wearers); CDC, clinical overview of Acanthamoeba keratitis',
  },
  {
    id: 'holder-deposits',
    group: 'everyday',
    art: 'removal',
    title: 'Suction holder and deposit care',
    do: [
      'Clean the holder with solution after each use, and dry it with a clean tissue.',
      'Keep it in a clean, dry box of its own. Use a new one as often as your plan says.',
      'Do the deposit removal on the day in your plan, as its label says.',
      'Then rub and rinse the lens as on other days.',
    ],
    dont: ['Never rinse the holder with tap water.', 'Never use the holder on a lens that does not move.'],
    source:
      'Cho, Boost and Cheng 2009 (holders and cases carry germs); compliance survey 2018, PMID 30142103; common practice',
  },
  {
    id: 'days-off',
    group: 'everyday',
    art: 'case-care',
    title: 'After some days without lenses',
    do: [
      'Look at the lenses for chips and dirt.',
      'Clean, rub and soak them again in full, with fresh solution, before the first night. A lens left in old solution is not clean.',
      'With peroxide: close the case anew, and wait the whole time.',
      'Do the eye check if an eye was sore. Ask the clinic first if you were off for more than a week.',
      'Sight comes back over some nights. Carry spectacles.',
    ],
    dont: ['Do not put in a lens straight from an old soak.', 'Do not drive, ride or cycle with blurred sight.'],
    source: 'FDA class labelling; label of the solution; common practice',
  },
  {
    id: 'drops-patch',
    group: 'everyday',
    art: 'red-eye',
    title: 'No left-over drops, no patch',
    do: [
      'Use only the wetting drops in your plan, and look at their date.',
      'For a sore or red eye: lens out, eye check, phone. The clinic says which drops.',
      'Throw away drops that were for an old illness.',
    ],
    dont: [
      'Never use old steroid drops: they can make an infection much worse and hide it.',
      'Never use old antibiotic drops, or those of somebody else.',
      'Never patch the eye of a lens wearer: germs grow in the warmth.',
    ],
    source: 'College of Optometrists, corneal abrasion (from memory): no patch in a lens wearer; common practice',
  },
  {
    id: 'sleeping-elsewhere',
    group: 'everyday',
    art: 'travel',
    title: 'Sleeping somewhere else',
    do: [
      'Pack lenses, case, a full bottle of your own solution, drops, holder and spectacles.',
      'Tell the grown-up there: lenses go in clean, come out in the morning, and never touch water.',
      'Give them the number of your clinic, and show them the eye check.',
      'No clean place to wash hands, or not sure? Leave the lenses out. One night off does no harm.',
    ],
    dont: ['Do not borrow solution.', 'Do not leave the lenses in a glass of water.'],
    source: 'CDC, contact lens care; common practice',
  },
  {
    id: 'blurry-morning',
    group: 'everyday',
    art: 'spectacles',
    title: 'Blurry in the morning before school or cycling',
    do: [
      'Blink, use wetting drops, and wait some minutes with the lenses out.',
      'Ask: were the lenses worn, long enough, and each in its own eye?',
      'If it is still blurred, wear spectacles. Walk or take a lift: do not drive, ride or cycle.',
      'If the eye is red or sore, or the blur is new and strong, do the eye check now.',
      'Log it. If it comes again, tell the clinic.',
    ],
    dont: ['Do not put the lenses back in for school.', 'Do not hide it: the teacher can give a seat in front.'],
    source: 'FDA class labelling: sight fluctuates after a lapse; Santolaria-Sanz 2013; common practice',
  },
  {
    id: 'insertion-peroxide',
    group: 'everyday',
    art: 'insertion',
    system: ['peroxide'],
    title: 'Putting the lenses in',
    do: [
      'Wash your hands with soap, rinse, and dry them with a clean lint-free cloth.',
      'Look at the app or the clock: the soak must be over, with the neutraliser in its place. If not, leave the lenses out.',
      'Start with the same eye every time. Rinse the lens with saline, or as your plan says, never with peroxide. Look for chips, cracks and dirt.',
      'Fill the lens with saline or as your clinic showed you, look down into a mirror, hold both lids, and place it on the centre of the eye.',
      'Blink gently. If it burns, take the lens out and rinse the eye at once: it may be peroxide.',
      'Empty the case, shake it dry and leave it open.',
    ],
    dont: [
      'Never rinse a lens with peroxide before it goes in.',
      'Never put in a lens from a case that still bubbles.',
      'Never rinse a lens with tap water.',
      'Never put a lens in a sore or red eye.',
    ],
    source:
      'CDC, contact lens care (hands, no water); FDA consumer notice 2016 on hydrogen peroxide solutions; the rest is common practice',
  },
];

/** Drawings of the rules' cards that share one. @type {Record<string, string>} */
const ART = {
  'wrong-bottle': 'peroxide',
  'eye-injury': 'red-eye',
  'pain-on-insertion': 'insertion',
  'lost-lens': 'dropped-lens',
  fever: 'illness',
};

/** @type {HelpCard[]} every card, in English */
export const ENGLISH = [
  ...CARDS.map(c => /** @type {HelpCard} */ ({ ...c, group: 'urgent', art: ART[c.id] })),
  ...EVERYDAY,
];

/** @param {Lang} lang @returns {Promise<Record<string, CardText>>} */
const load = async lang => (lang === 'en' ? {} : (await import(`./${lang}/cards.js`)).cards);

/**
 * All cards in a language. English where a card has no translation, or where
 * the file cannot be had: help in English is better than none.
 * @param {Lang} lang
 * @returns {Promise<HelpCard[]>}
 */
export async function loadCards(lang) {
  const own = await load(lang).catch(() => /** @type {Record<string, CardText>} */ ({}));
  return ENGLISH.map(c => (own[c.id] ? { ...c, ...own[c.id], lang } : c));
}

/**
 * The source of a medical text, or "".
 * @param {string} key
 * @returns {string}
 */
export const sourceOf = key => /** @type {Record<string, {source?: string}>} */ (medical.texts)[key]?.source ?? '';
