package pwa

import (
	"encoding/json"
	"fmt"
	"strings"
)

// The texts of the rules, and the mark of an import that wants their cards only.
const (
	texts     = "alerts/texts.json"
	rules     = "alerts/rules.json"
	reminders = "schedule/rules.json"
	cardsOnly = "?cards"
)

// trim leaves out of the rules and their texts what the family's app never
// shows: what the clinic reads, and explanations for who writes rules. The
// cards and the sources are a file of their own, because help is fetched later.
func trim(name, suffix string, body []byte) ([]byte, error) {
	switch {
	case name == texts && suffix == cardsOnly:
		return change(body, func(all map[string]any) {
			for key, text := range object(all["texts"]) {
				if object(text)["source"] == nil {
					delete(object(all["texts"]), key)
				}
				delete(object(text), "text")
			}
		})
	case name == texts:
		return change(body, func(all map[string]any) {
			delete(all, "cards")
			for key, text := range object(all["texts"]) {
				object(all["texts"])[key] = object(text)["text"] // a text alone; who reads it takes either
				if strings.HasSuffix(key, ".clinic") || strings.HasPrefix(key, "state.") || key == "answer.unknown" || key == "answer.now.none" {
					delete(object(all["texts"]), key)
				}
			}
		})
	case name == rules:
		return change(body, trimRules)
	case name == reminders:
		return change(body, func(all map[string]any) {
			delete(all, "about")
			list, _ := all["rules"].([]any)
			for _, row := range list {
				delete(object(row), "basis") // whoever asks why has the whole table
			}
		})
	}
	return body, nil
}

// trimRules leaves of the rule table what the phone reads.
func trimRules(all map[string]any) {
	for _, kind := range []string{"signs", "settings"} {
		list, _ := all[kind].([]any)
		for _, row := range list {
			for _, key := range []string{"label", "meaning", "unit"} {
				delete(object(row), key)
			}
		}
	}
	for _, kind := range []string{"rules", "settings"} {
		list, _ := all[kind].([]any)
		for _, row := range list {
			for _, key := range []string{"source", "why", "clinic", "mark"} {
				delete(object(row), key) // who reads it has the whole table; prepare of evaluate.js knows the mark
			}
			if r := object(row); r["family"] == fmt.Sprintf("rule.%v.family", r["id"]) {
				delete(r, "family") // prepare of evaluate.js puts it back
			}
		}
	}
}

func change(body []byte, with func(all map[string]any)) ([]byte, error) {
	var all map[string]any
	if err := json.Unmarshal(body, &all); err != nil {
		return nil, fmt.Errorf("rules for the bundle: %w", err)
	}
	with(all)
	return json.Marshal(all)
}

// object is nil, and empty to read, for anything else.
func object(v any) map[string]any {
	m, _ := v.(map[string]any)
	return m
}
