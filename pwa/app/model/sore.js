// Whether what a family writes may be about a sore eye. The words are ours and lean to
// the safe side: a tap answers a question too many. In every language, whatever the
// screen speaks. Pure.

const EN =
  /\b(hurt|pain|ach(e|es|ing)\b|sore|sting|burn|red\b|redness|pink|blood|bleed|pus\b|discharge|swoll|swell|itch|gritty|stuck|scratch|blurr|infect|ulcer|water(y|ing)\b|(can ?not|can.?t) (see|open)|sees? (badly|less|worse))/i;
const ES =
  /(duele|dol[ií]a|dolor|escuece|escoz|\bpican?\b|\bpicor|\bquema|\barde|\broj[oa]s?\b|enrojec|sangr|\bpus\b|lega[ñn]|secreci|hinch|pegad|atascad|ara[ñn]|borros|infecci|[uú]lcera|lagrime|lloros|molest|no (veo|ve|puedo abrir|puede abrir))/i;
const ZH =
  /(痛|疼|红|紅|刺|灼|烧|燒|泪|淚|分泌物|脓|膿|肿|腫|模糊|看不清|看不见|看不見|睁不开|睜不開|怕光|畏光|血|异物|異物|磨|卡住|粘住|黏住|痒|癢|感染|发炎|發炎)/;
// Without vowel signs, and with one form of alef.
const AR =
  /((^|[^\p{L}])(ال)?الم(?!\p{L})|مؤلم|[يت]ؤلم|وجع|احمر|حمراء|حرق|يحرق|تحرق|حكة|نزف|صديد|قيح|افراز|تورم|منتفخ|ملتصق|عالق|ضباب|غشاوة|مشوش|لا (ارى|يرى|ترى|افتح|يفتح|تفتح|استطيع)|دموع|تدمع|التهاب|خدش)/u;

/** @param {string} text */
export function maySore(text) {
  const plain = text.replace(/[\u064b-\u065f\u0640]/g, '').replace(/[أإآ]/g, 'ا');
  return EN.test(text) || ES.test(text) || ZH.test(text) || AR.test(plain);
}
