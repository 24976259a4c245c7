// Prescriptions as people type them: either cylinder form, with either minus
// sign. Pure.

/**
 * @typedef {object} Rx
 * @property {number} sphere dioptres
 * @property {number} cylinder dioptres, 0 or negative
 * @property {number} axis degrees, 0 to 180
 */

/**
 * @param {string} text
 * @returns {number} NaN when it is no number; 0 for "plano", "pl" or nothing
 */
export function readNumber(text) {
  const t = text.trim().replace(/[−–]/g, '-').replace(',', '.').toLowerCase();
  if (t === '' || t === 'plano' || t === 'pl') return 0;
  return /^[+-]?\d+(\.\d+)?$/.test(t) ? Number(t) : NaN;
}

/**
 * Turns a plus cylinder into a minus cylinder: sphere plus cylinder, cylinder
 * with the other sign, axis turned by 90 degrees. A minus cylinder stays.
 * @param {Rx} rx
 * @returns {Rx}
 */
export function minusForm(rx) {
  if (rx.cylinder <= 0) return { ...rx, axis: rx.cylinder === 0 ? 0 : rx.axis };
  const axis = rx.axis <= 90 ? rx.axis + 90 : rx.axis - 90;
  return { sphere: rx.sphere + rx.cylinder, cylinder: -rx.cylinder, axis };
}

/**
 * @param {{sphere: string, cylinder: string, axis: string}} typed
 * @returns {{rx?: Rx, error?: string}}
 */
export function readPrescription(typed) {
  const sphere = readNumber(typed.sphere);
  const cylinder = readNumber(typed.cylinder);
  const axis = readNumber(typed.axis);
  if (typed.sphere.trim() === '' || Number.isNaN(sphere) || Math.abs(sphere) > 30) return { error: 'Sphere: a number from −30 to +30 dioptres, or plano.' };
  if (Number.isNaN(cylinder) || Math.abs(cylinder) > 15) return { error: 'Cylinder: a number from −15 to +15 dioptres, or nothing.' };
  if (cylinder !== 0 && (typed.axis.trim() === '' || Number.isNaN(axis) || axis < 0 || axis > 180)) return { error: 'Axis: 0 to 180 degrees when there is a cylinder.' };
  return { rx: { sphere, cylinder, axis: cylinder === 0 ? 0 : axis } };
}
