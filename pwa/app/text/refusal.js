// What the server's word for a refusal means, for the screens that are fetched later.

/** @param {import('./text.js').Words} words @param {string} code @returns {string} */
export function refusal({ t }, code) {
  const key = `error.${code}`;
  const said = t(key);
  return said === key ? t('error.other', { code }) : said;
}
