// Headings and buttons of a language without spaces break between words, not inside
// them: the browser is told where a word ends. And no space follows a full-width
// mark, which has its own. Fetched for such a language only.
import { options } from '../vendor/preact.js';

/** Words of the trade that a browser's dictionary has not, or parts wrongly. */
const TRADE = [
  '急诊 镜片 镜盒 视光师 取下 滴眼液 平时 吸棒 护理液 清洁液 化学品 双氧水 生理盐水 沉淀物 自来水',
  '左眼 右眼 双眼 只眼 自查 就诊 转介 灼伤 眩光 配戴者 粘住 停戴 评分 天数 小时数 页面 服务器 加载 锁屏 联网 时区 已读',
  '急診 鏡片 鏡盒 視光師 平時 護理液 清潔液 化學品 雙氧水 生理鹽水 沉澱物 自來水',
  '雙眼 隻眼 就診 轉介 灼傷 停戴 評分 天數 小時數 頁面 伺服器 載入 鎖屏 聯網 時區 已讀',
].flatMap(line => line.split(' '));

const HEADINGS = ['h1', 'h2', 'h3', 'legend', 'button', 'summary', 'strong', 'th', 'dt'];
const isLinkButton = (/** @type {any} */ v) => v.type === 'a' && /\b(btn|button)\b/.test(v.props.class ?? '');

/**
 * A text with a place to break after each word (U+200B); as it is where the
 * browser knows no words of the language.
 * @param {string} text
 * @param {string} locale BCP 47
 */
export function between(text, locale) {
  if (!Intl.Segmenter) return text;
  const words = [...new Intl.Segmenter(locale, { granularity: 'word' }).segment(text)];
  // Never before a mark, nor after an opening one: the browser's own rules hold there.
  const ends = new Set(words.flatMap((w, i) => (w.isWordLike && words[i + 1]?.isWordLike ? [words[i + 1].index] : [])));
  const han = (/** @type {number} */ i) => /\p{Script=Han}/u.test(text[i] ?? '');
  for (const word of TRADE)
    for (let at = text.indexOf(word); at >= 0; at = text.indexOf(word, at + 1)) {
      for (const edge of [at, at + word.length]) if (han(edge - 1) && han(edge)) ends.add(edge);
      for (let i = at + 1; i < at + word.length; i++) ends.delete(i);
    }
  return text
    .split('')
    .map((c, i) => (ends.has(i) ? `\u200b${c}` : c))
    .join('');
}

/** Between words, where a heading or a button has places to break, and nowhere else. */
const STYLE = `:lang(zh) :is(h1, h2, h3, legend, :is(strong, th, dt, button, summary, .btn, .button):not(:has(*))) {
  word-break: keep-all;
  overflow-wrap: anywhere;
}`;

let locale = '';

/** Lets every heading and button that is drawn from now on break so. @param {string} to BCP 47 */
export function breakHeadings(to) {
  if (!locale) {
    // Where there is no page, or no such sheet, a heading breaks anywhere.
    if ('CSSStyleSheet' in globalThis) {
      const sheet = new CSSStyleSheet();
      sheet.replaceSync(STYLE);
      document.adoptedStyleSheets.push(sheet);
    }
    const before = options.vnode;
    options.vnode = v => {
      const props = /** @type {{children?: any}} */ (v.props);
      if (locale && typeof v.type === 'string') props.children = closedUp(props.children);
      if (locale && typeof v.type === 'string' && (HEADINGS.includes(v.type) || isLinkButton(v)))
        props.children = broken(props.children);
      before?.(v);
    };
  }
  locale = to;
}

/** @param {any} x what an element holds @returns {any} */
const broken = x => (typeof x === 'string' ? between(x, locale) : Array.isArray(x) ? x.map(broken) : x);

const AFTER_MARK = /([。，：；？！、]) +/g;

/** The last text of what an element holds. @param {any} x @returns {string} */
const tail = x =>
  typeof x === 'string'
    ? x
    : Array.isArray(x)
      ? tail(x.at(-1))
      : typeof x?.type === 'string'
        ? tail(x.props.children)
        : '';

/**
 * Without spaces after full-width marks, inside a text and between two.
 * @param {any} x what an element holds
 * @returns {any}
 */
export function closedUp(x) {
  if (typeof x === 'string') return x.replace(AFTER_MARK, '$1');
  if (!Array.isArray(x)) return x;
  return x.map((c, i) =>
    typeof c === 'string' && /[。，：；？！、]$/.test(tail(x[i - 1])) ? closedUp(c.trimStart()) : closedUp(c),
  );
}
