// The two states every form field goes through: what is typed, and what is
// sent. Pure.

/**
 * Sets a value inside nested objects, without changing them.
 * @template {object} T
 * @param {T} object
 * @param {string} path such as "right.axial_mm"
 * @param {unknown} value
 * @returns {T}
 */
export function put(object, path, value) {
  const [head, ...rest] = path.split('.');
  const inner = /** @type {Record<string, object|undefined>} */ (object)[head] ?? {};
  return { ...object, [head]: rest.length ? put(inner, rest.join('.'), value) : value };
}

/**
 * @param {object} object
 * @param {string} path
 * @returns {unknown} undefined when there is nothing
 */
export function pick(object, path) {
  return path
    .split('.')
    .reduce(
      (at, key) => /** @type {Record<string, unknown>|undefined|null} */ (at)?.[key],
      /** @type {unknown} */ (object),
    );
}
