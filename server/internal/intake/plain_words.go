package intake

import (
	"regexp"
	"strings"
	"unicode"
)

// Own words of the practice that can have nothing to do with wear are not asked about: a
// question that comes with every word is answered unread. A list of dangerous words cannot
// be complete, so this one is of harmless ones, and ours: a text passes when nothing else
// stands in it. Not in it are wear, lenses, eyes, the evening and the night, in, out, again,
// today and every word that allows, forbids or agrees; nor any word of another language.

// plain are words, in lower case and without accents, of an errand or a visit.
var plain = setOf(`
	a about address afternoon after an and appointment are arrive arrived arrives ask at been before bill bottle box bring brings by
	call calls card case child clinic come comes date day days dear desk door dr father fetch for form had has have he hello her him his holiday
	hour hours i is know let letter mail me meet minute minutes morning mother mr mrs ms new number of on or order ordered our parcel parent parents
	past phone photo picture please post practice quarter question questions receipt reception regards ring school see seen send sent she solution
	sorry speak spoke teacher telephone thank thanks that the this time to tomorrow visit was we week weeks when will with write you your us o'clock oclock am pm half
	monday tuesday wednesday thursday friday saturday sunday january february march april june july august september october november december
	one two three four five six seven eight nine ten eleven twelve

	al antes avise avisenos buenos caja carta cita clinica colegio con consulta correo cuando cuarto de del despues dia dias direccion domingo
	el enviado enviar enviamos escribir es escriba esta estuche factura favor fecha formulario foto fotos frasco fue gracias ha hablar hablamos han hemos
	hija hijo hola hora horas jueves la las le les llamamos llamar llamaremos llame llamen llamenos los llega llegado lunes madre manana martes
	media mes miercoles minutos nos nuestra nuestro nueva nuevo numero o os padre padres paquete para pedido perdon por pregunta preguntas puerta
	recepcion recoger recoja reloj sabado saludos semana semanas sobre son su sus tarjeta telefono traiga traigan un una usted ustedes vacaciones
	vemos venga vengan vernos veremos viene viernes visita y enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre
	una dos tres cuatro cinco seis siete ocho nueve diez once doce

	بنا بي لنا معنا معكم لكم لك في علي الي عن مع بعد قبل عند رجاء الرجاء يرجي فضلك فضلكم اتصل اتصلوا اتصلي نتصل سنتصل هاتف نراكم نراك سنراكم
	موعد موعدكم زياره عياده استقبال احضروا احضري تعالوا تعالي طرد رساله صوره نموذج بطاقه رقم عنوان مدرسه عطله صندوق فاتوره شكرا مرحبا عذرا
	اثنين ثلاثاء اربعاء خميس جمعه سبت احد ساعه واحده ثانيه ثالثه رابعه خامسه سادسه سابعه ثامنه تاسعه عاشره صباحا ظهرا غدا اسبوع يوم ايام وقت
	جديد جديده وصل وصلت ارسل نرسل سؤال ام اب طفل طفلكم معلم اتصال
`)

// plainHan are pieces of an errand or a visit in Chinese, of either script.
var plainHan = strings.Fields(`
	打电话 打電話 电话 電話 致电 致電 联系 聯繫 聯絡 回电 回電 诊所 診所 门诊 門診 前台 预约 預約 复诊 複診 就诊 就診 见面 見面 带来 帶來 收到 寄出 快递 快遞 包裹
	信件 照片 图片 圖片 表格 号码 號碼 地址 学校 學校 假期 盒子 账单 帳單 收据 收據 谢谢 謝謝 感谢 感謝 您好 你好 抱歉 上午 下午 中午 之后 之後 之前 以后 以後 以前
	明天 下周 下週 本周 本週 时间 時間 到货 到貨 发送 發送 问题 問題 妈妈 媽媽 爸爸 家长 家長 孩子 老师 老師 我们 我們 你们 你們 周 週 星期 月 日 号 號 点钟 點鐘 点 點 分 半
	一 二 三 四 五 六 七 八 九 十 零 请 請 您 你 我 他 她 的 了 在 于 於 和 或 给 給 来 來 到 见 見 把 后 後 前 会 會 时 時 已 新 天
`)

func setOf(words string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(words) {
		out[w] = true
	}
	return out
}

// plainLetters takes accents, and the forms of one Arabic letter, away.
var plainLetters = strings.NewReplacer("á", "a", "é", "e", "í", "i", "ó", "o", "ú", "u", "ü", "u", "ñ", "n", "’", "'",
	"أ", "ا", "إ", "ا", "آ", "ا", "ة", "ه", "ى", "ي")

// arabicPrefix are "and", "to", "at", "the" as they are written on to a word.
var arabicPrefix = regexp.MustCompile(`^[وف]?[بل]?(ال|لل)?`)

// speaksOfWear reports whether a text may: it has a word that is not known to be plain.
func speaksOfWear(text string) bool {
	words := strings.FieldsFunc(plainLetters.Replace(strings.ToLower(text)), func(r rune) bool {
		return unicode.IsSpace(r) || r != '\'' && unicode.IsPunct(r) || unicode.IsDigit(r) || r == '+'
	})
	for _, w := range words {
		if w = strings.Trim(w, "'"); w == "" || plain[w] || plain[arabicPrefix.ReplaceAllString(w, "")] {
			continue
		}
		if !onlyHan(w) {
			return true
		}
	}
	return false
}

// onlyHan reports whether a text is made of the plain pieces alone, the longest first.
func onlyHan(text string) bool {
	for text != "" {
		longest := 0
		for _, piece := range plainHan {
			if strings.HasPrefix(text, piece) {
				longest = max(longest, len(piece))
			}
		}
		if longest == 0 {
			return false
		}
		text = text[longest:]
	}
	return true
}
