// Whether what a family writes may be about an eye that needs the check: pain, a look or
// a sight that changed, an injury, a chemical, water on a lens, a lens that will not come
// out. The words are ours and lean to the safe side: a tap answers a question too many.
// No list of words is whole, so the page says beside the field that nobody reads it now.
// In every language, whatever the screen speaks. Pure.

/** @param {string} flags @param {string[]} parts */
const any = (flags, ...parts) => new RegExp(parts.join('|'), flags);

const EN = any(
  'i',
  // how it feels and looks
  String.raw`\b(hurt|pain|ach(e|es|ed|ing)\b|headache|sore|sting|stung|burn|red\b|redness|pink|blood|bleed|irritat|uncomfort|discomfort)`,
  String.raw`\b(pus\b|discharg|ooz|goo\b|gooe?y|gunk|slim[ey]|stick[yi]|stuck|glued|crust|mucus|weep|tears?\b|teary|tearing|water(y|ing)\b)`,
  String.raw`\b(swoll|swell|puff[iy]|itch|grit|scratch|infect|ulcer|cr(y|ies|ied|ying)\b|rub(s|bed|bing) (his|her|my|the|an|one|both|their) )`,
  // light and sight
  String.raw`\b(lights?\b|bright|dazzl|squint|blur|haz[ey]|fog|cloud|milky|halo|flash|blind|sees? (double|badly|less|worse|nothing|spots)|double vision)`,
  // injury and chemicals
  String.raw`\b(hit\b|hits\b|hitting|struck|poke|punch|kicked|elbow|bump|bang|smack|knock|injur|bruis|accident|splinter|shard)`,
  String.raw`\b(bleach|acid\b|detergent|shampoo|chemical|splash|squirt|spray|emergenc|urgent)`,
  String.raw`\bin(to)?\s+(\w+\s+){0,2}(eye|face)`,
  // a lens that will not come out, is lost or is broken
  String.raw`\b(can|could|will|does|did|do|is|was|would)(n.?t|\s*not)\b.{0,25}\b(out|off|open|see|moving)\b`,
  String.raw`\b(can|won|don)(.?t)\b.{0,25}\b(out|off|open|see)\b`,
  String.raw`\b(lens|it) (does|do|will|is|has)(n.?t| not) mov`,
  String.raw`\b(find|lost|broke|broken|crack|chip|split|torn|tore)\w*\b.{0,25}\blens`,
  String.raw`\blens(es)?\b.{0,25}\b(lost|broke|broken|crack|chip|split|torn|tore)`,
  // water
  String.raw`\b(swam|swum|swim|shower|bath|pool|lake|sea|tap water|spit|saliva|mouth)\w*\b.{0,40}\b(lens|them (in|on)\b)`,
  String.raw`\blens(es)?\b.{0,40}\b(swam|swum|swim|shower|bath|pool|lake|sea|tap|water|spit|saliva|mouth)`,
);

const ES = any(
  'i',
  String.raw`duele|dol[ií]a|dol[ií]do|dolor|escuece|escoz|\bpican?\b|\bpicor|\bquem|\bard[eií]|\broj[oa]s?\b|enrojec|sangr|molest|inc[oó]mod|irrit`,
  String.raw`\bpus\b|lega[ñn]|secreci|supur|\bmocos?\b|pegajos|pegad|costra|lagrime|lloros|\bllor[aoóe]|hinch|ara[ñn]|rasp|infecci|[uú]lcera|\barena\b`,
  String.raw`\bluz\b|\bluces\b|deslumbr|borros|niebla|nublad|\bhalos?\b|destello|\bve doble|no (veo|ve|puedo abrir|puede abrir|abre)`,
  String.raw`golpe|pelota|bal[oó]n|patada|pu[ñn]etazo|\bcodazo|chocó|herid|lesi[oó]n|accidente|lej[ií]a|\b[aá]cido|detergente|champ[uú]|qu[ií]mic|salpic|urgente|urgencia|emergencia`,
  String.raw`\ben (el|la|los|un|su|sus|mi|ambos) (ojo|cara)`,
  'atascad|no (me |le |se )?(la |las )?(sale|salen|quiere salir|despega|quita|mueve|puedo sacar|puede sacar|podemos sacar|puedo quitar|puede quitar|podemos quitar|encuentro|encontramos)',
  String.raw`lente.{0,25}(rot[ao]|romp|perd)|(rot[ao]|romp|perd)\w*.{0,25}lente`,
  String.raw`(nad[óoaeé]|ducha|ba[ñn][óoaeé]|piscina|playa|grifo|saliva|boca).{0,40}(lente|puestas)|lente.{0,40}(nad[óoaeé]|ducha|ba[ñn][óoaeé]|piscina|playa|\bmar\b|agua|grifo|saliva|boca)`,
);

const ZH = any(
  '',
  '痛|疼|红|紅|刺|灼|烧|燒|泪|淚|分泌|脓|膿|肿|腫|血|磨|痒|癢|感染|发炎|發炎|不舒服|难受|難受|眼屎|黏|粘|哭',
  '怕光|畏光|避光|强光|強光|见光|見光|对光|對光|灯|燈|模糊|看不清|看不见|看不見|睁不开|睜不開|重影|光晕|光暈|雾|霧|闪光|閃光|黑影|白点|白點|白斑',
  '撞|砸|踢|戳|打到|打中|打在|受伤|受傷|碰伤|碰傷|伤到|傷到|摔|球|漂白|洗洁精|洗潔精|洗发|洗髮|化学|化學|酸|溅|濺|喷|噴|异物|異物|脸|臉|急诊|急診|紧急|緊急|眼(睛)?[里裡裏]',
  '卡住|(取|拿|摘|弄|拔)不(下|出|掉|了)|出不[来來]|下不[来來]|[动動]不了|不[动動]了?|找不到',
  '镜片.{0,12}(破|裂|丢|掉|碎)|鏡片.{0,12}(破|裂|丟|掉|碎)|(破|裂|丢|丟|碎).{0,8}[镜鏡]片',
  '(游泳|洗澡|淋浴|泡澡|温泉|溫泉|泳池|口水|自来水|自來水|水).{0,16}(戴|[镜鏡]片)|(戴|[镜鏡]片).{0,16}(游泳|洗澡|淋浴|泡澡|温泉|溫泉|泳池|口水|自来水|自來水|清水)',
);

// Without vowel signs, and with one form of alef.
const AR = any(
  'u',
  String.raw`(^|[^\p{L}])(ال)?الم(?!\p{L})|مؤلم|[يت]ؤلم|وجع|احمر|حمراء|احمرار|حرق|حترق|لسع|حكة|نزف|صديد|قيح|افراز|تورم|منتفخ|دموع|تدمع|التهاب|خدش|تهيج|انزعاج|غير مريح`,
  String.raw`لزج|دبق|مخاط|قذى|عمش|ملتصق|عالق|(^|[^\p{L}])[يت]?بك[يىت]|ضباب|غشاوة|مشوش|هالة|هالات|وميض|ازدواج`,
  String.raw`(^|[^\p{L}])(ال|لل)?(ضوء|نور)(?!\p{L})|ضرب|صدم|كرة|لكم|ركل|جرح|اصيب|اصاب|حادث|مبيض|كلور|منظف|شامبو|كيميائي|حمض|تناثر|رذاذ|طوارئ|عاجل`,
  'في (ال)?(عين|وجه)|لا (ارى|يرى|ترى|افتح|يفتح|تفتح|ا?ستطيع|[يتن]ستطيع|[انيت]قدر|[انيت]جد|[يت]خرج|[يت]تحرك)|ل[نم] [يت](خرج|تحرك)',
  '(عدس.{0,25}(كسر|مزق|ضاع|تشقق))|((كسر|مزق|ضاع).{0,25}عدس)',
  '(سبح|سباحة|ستحم|مسبح|الدش|البحر|ماء|لعاب).{0,40}عدس|عدس.{0,40}(سبح|سباحة|ستحم|مسبح|الدش|البحر|ماء|لعاب)',
);

/** Things that are red and no eye: they are left out before anything is looked for. */
const RED_THINGS = any(
  'gi',
  String.raw`\bred (one|ones|case|cap|lid|box|bottle|label|top|bag|button)s?\b`,
  String.raw`\b(estuche|tap[aó]n?|caja|frasco|botella|bote|etiqueta|bolsa|bot[oó]n)( (el|la))? roj[oa]s?\b|\b(el|la) roj[oa] (se|que|est[aá])\b`,
  '[红紅](色)?(的)?(那个|那個|镜盒|鏡盒|盒|盖|蓋|瓶|标签|標籤|袋|按钮|按鈕)',
  '(علبة|غطاء|زجاجة|عبوة|حقيبة|زر) (ال)?(احمر|حمراء)',
);

/** @param {string} text */
export function maySore(text) {
  const plain = text
    .replace(/[\u064b-\u065f\u0640]/g, '')
    .replace(/[أإآ]/g, 'ا')
    .replace(/[’‘]/g, "'")
    .replace(RED_THINGS, ' ');
  return [EN, ES, ZH, AR].some(words => words.test(plain));
}
