// Prescriptions as they are filled in: either cylinder form. Pure.

import { tr } from './text.js';

/**
 * @typedef {object} Rx
 * @property {number} sphere dioptres
 * @property {number} cylinder dioptres, 0 or negative
 * @property {number} axis degrees, 0 to 180
 */

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

/** @typedef {{sphere: number|null, cylinder: number|null, axis: number|null}} Part what was filled in so far */

/**
 * @param {Part} part
 * @returns {{rx?: Rx, at?: Partial<Record<keyof Part, string>>}} the prescription, or what each field lacks
 */
export function whole({ sphere, cylinder, axis }) {
  const at = {
    ...(sphere === null && { sphere: tr('Sphere: a number from −30 to +30 dioptres, or plano.') }),
    ...(cylinder && axis === null && { axis: tr('Axis: 0 to 180 degrees when there is a cylinder.') }),
  };
  if (sphere === null || at.axis) return { at };
  return { rx: { sphere, cylinder: cylinder ?? 0, axis: cylinder ? (axis ?? 0) : 0 } };
}
