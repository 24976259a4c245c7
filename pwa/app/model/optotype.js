/**
 * The size of an optotype on a screen. Twin of optotype.go in
 * server/internal/vision, checked on the same vectors. Pure.
 */

/** The long edge of an ID-1 card in millimetres (ISO/IEC 7810). */
export const CARD_WIDTH_MM = 85.6;

/** The least detail to draw, in device pixels (own judgement). */
export const LEAST_DETAIL_PX = 3;

const HALF_HEIGHT = 2.5; // minutes of arc at logMAR 0, half of 5 (ISO 8596)
const ARCMIN = Math.PI / (180 * 60);

/**
 * Device pixels in a millimetre, from the width at which a drawn card matched
 * a real one.
 * @param {number} cardWidthCssPx width of the drawn card, CSS pixels
 * @param {number} pixelRatio device pixels in a CSS pixel
 * @returns {number} device pixels per millimetre
 */
export function pxPerMm(cardWidthCssPx, pixelRatio) {
  return (cardWidthCssPx * pixelRatio) / CARD_WIDTH_MM;
}

/**
 * Height of an optotype: 2d tan(2.5' 10^L) (ISO 8596; Bailey and Lovie 1976).
 * The detail (stroke or gap) is a fifth of it.
 * @param {number} logmar size
 * @param {number} distanceM from eye to screen, metres
 * @returns {number} height in millimetres
 */
export function optotypeHeight(logmar, distanceM) {
  return 2000 * distanceM * Math.tan(HALF_HEIGHT * 10 ** logmar * ARCMIN);
}

/**
 * What an optotype really drawn is worth; inverse of {@link optotypeHeight}.
 * @param {number} heightMm
 * @param {number} distanceM
 * @returns {number} logMAR
 */
export function logmarOfHeight(heightMm, distanceM) {
  return Math.log10(Math.atan(heightMm / (2000 * distanceM)) / (HALF_HEIGHT * ARCMIN));
}

/**
 * The nearest optotype whose detail is a whole number of device pixels, at
 * least one. Give its logmar to the estimate, never the size wished for.
 * @param {number} logmar size wished for
 * @param {number} distanceM
 * @param {number} pxMm device pixels per millimetre
 * @returns {{detailPx: number, logmar: number}} detail in device pixels and the true size
 */
export function drawn(logmar, distanceM, pxMm) {
  const detailPx = Math.max(1, Math.round((optotypeHeight(logmar, distanceM) * pxMm) / 5));
  return { detailPx, logmar: logmarOfHeight((5 * detailPx) / pxMm, distanceM) };
}

/** Details across a ring with its crowding bars: bars end six details from the centre. */
export const RING_DETAILS = 12;

/**
 * The largest size whose ring and bars fit into the room given, so that nothing
 * is cut off.
 * @param {number} roomPx device pixels across and down
 * @param {number} distanceM
 * @param {number} pxMm device pixels per millimetre
 * @returns {number} logMAR
 */
export function largestLogmar(roomPx, distanceM, pxMm) {
  return logmarOfHeight((5 * Math.max(1, Math.floor(roomPx / RING_DETAILS))) / pxMm, distanceM);
}

/**
 * The smallest size a screen can show with a detail of at least
 * {@link LEAST_DETAIL_PX} device pixels.
 * @param {number} distanceM
 * @param {number} pxMm device pixels per millimetre
 * @returns {number} logMAR
 */
export function smallestLogmar(distanceM, pxMm) {
  return logmarOfHeight((5 * LEAST_DETAIL_PX) / pxMm, distanceM);
}
