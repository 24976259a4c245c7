package intake

import "testing"

// What a practice writes about wear is asked about in whatever words: by a list of
// harmless words, not of dangerous ones. The sentences about wear are those that tries of
// the program found, and of languages it does not know; the others are of an errand.
func TestWordsThatMaySpeakOfWear(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		"Lenses again tonight.", "Both lenses can go back in this evening, all is well.", "Please leave them out till Monday. Spectacles meanwhile.",
		"You may put the lenses in again tonight.", "Left lens again from tonight.", "Both lenses stay out", "Six more nights.", "Tonight is fine too.",
		"Carry on as usual.", "Go ahead.", "Yes.", "OK", "👍", "All clear", "You can start", "Right", "NO", "From tomorrow please", "Skip it", "Today please", "Seen by me today",
		"Puede ponérselas esta noche.", "Déjelas fuera hasta el lunes.", "Hoy no.", "Siga como siempre.", "Ya puede.", "Sí.",
		"今晚可以戴了。", "先不要戴。", "左眼照常", "好的", "今晚带上", "可以",
		"يمكنك وضع العدسات الليلة", "لا تلبسها حتى الاثنين", "نعم", "تابع كالمعتاد",
		"Heute Abend wieder einsetzen.", "Vous pouvez les remettre ce soir.", "Сегодня можно.", "今夜からどうぞ", "Hoje à noite pode.", "Можно", "آج رات پہن لیں",
	} {
		if !speaksOfWear(text) {
			t.Errorf("%q is sent unread", text)
		}
	}
	for _, text := range []string{
		"See you Monday at ten.", "Please call us after four: 020 7946 0960.", "Bring the case to the visit on Tuesday.", "The parcel has arrived. Thank you!", "We telephone tomorrow at 9:30.", "The case has come.",
		"Nos vemos el lunes a las diez.", "Llámenos después de las cuatro, por favor.", "Traiga el estuche a la visita.",
		"请在下午四点后给我们打电话。", "周一上午十点见，谢谢。", "請在週一打電話給我們。",
		"يرجى الاتصال بنا بعد الساعة الرابعة.", "نراكم يوم الاثنين الساعة 10. شكرا.",
	} {
		if speaksOfWear(text) {
			t.Errorf("%q is asked about and says nothing of wear", text)
		}
	}
}
