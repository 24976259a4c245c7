// What the pictures of evening sight mean: how far out of focus each is drawn,
// and what that is in dioptres and in lines of letters. Pure.
//
// A point of light seen by an eye that is out of focus spreads into a disc whose
// angle is the pupil's diameter times the defocus (Strasburger, Bach and Heinrich
// 2018, i-Perception 9(2), doi 10.1177/2041669518765850). The pupil is taken at
// 4.8 mm: 4.03 mm at a mean age of 39.7 years in a lit room (16 lx), 0.025 mm more
// for each year younger, at ten years of age (Eur J Ophthalmol,
// doi 10.5301/ejo.5001027). A real pupil is between about 3 and 6.5 mm, so a
// picture means its dioptres to within half of them and no better.

/** The scale of evening sight that this app asks with: 1 was five faces, 2 is these pictures. Stored with each answer. */
export const SCALE = 2;

export const PUPIL_MM = 4.8;

/** Dioptres out of focus from one picture to the next: what the effect model takes a grade for (`blurPerGrade` of server/internal/vision). */
export const STEP_D = 0.35;

/** Loss of acuity by dioptre of short-sighted defocus, logMAR: `LossPerDioptre` of server/internal/vision/blur.go, which names its sources. */
const LOSS_PER_D = 0.42;

const ARCMIN = (180 * 60) / Math.PI; // minutes of arc in a radian

/** @param {number} rating 1 to 5, 5 as clear as in the morning @returns {number} dioptres out of focus */
export const defocusOf = rating => STEP_D * (5 - rating);

/** @param {number} dioptres out of focus @returns {number} diameter of the disc a point becomes, minutes of arc */
export const discOf = dioptres => (PUPIL_MM / 1000) * dioptres * ARCMIN;

/**
 * The spread of a Gaussian that stands for the disc: a filter of the browser can
 * draw no disc. An even disc has a spread of a quarter of its diameter along any
 * line through it. A Gaussian doubles no outline, as a real disc may.
 * @param {number} dioptres out of focus
 * @returns {number} standard deviation, minutes of arc
 */
export const spreadOf = dioptres => discOf(dioptres) / 4;

/** @param {number} dioptres out of focus @returns {number} logMAR lost against the sharp eye */
export const lossOf = dioptres => LOSS_PER_D * dioptres;
