package review

import (
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

func (s *state) acuity() []AcuityRow                                 { return []AcuityRow{} }
func (s *state) effect(sum *Summary) []EffectRow                     { return []EffectRow{} }
func growth([]Visit, care.Wearer, PlanFacts, civil.Date) []GrowthRow { return []GrowthRow{} }
