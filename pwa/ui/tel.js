// Telephone numbers as they are typed, for the phone to dial. Pure.

/**
 * A telephone number as a link.
 * @param {string} number
 * @returns {string}
 */
export function tel(number) {
  return `tel:${number.replace(/[^\d+*#]/g, '')}`;
}
