// The shapes the server's package review answers with, for the type checker: the
// Go structs of the same name, where every field is explained. api/types.d.ts is
// made from the server's own description.

/** @typedef {import('../api/types.js').components['schemas']} Schemas */
/** @typedef {Schemas['AcuityRow']} AcuityRow */
/** @typedef {Schemas['AlertFact']} AlertFact */
/** @typedef {Schemas['Batch']} Batch */
/** @typedef {Schemas['Bedtime']} Bedtime */
/** @typedef {Schemas['Beside']} Beside */
/** @typedef {Schemas['Call']} Call */
/** @typedef {Schemas['CallList']} CallList */
/** @typedef {Schemas['CareRow']} CareRow */
/** @typedef {Schemas['Change']} Change */
/** @typedef {Schemas['Claim']} Claim */
/** @typedef {Schemas['ClockNote']} ClockNote */
/** @typedef {Schemas['Counts']} Counts */
/** @typedef {Schemas['EffectDay']} EffectDay */
/** @typedef {Schemas['EffectRow']} EffectRow */
/** @typedef {Schemas['Event']} Event */
/** @typedef {Schemas['EventRate']} EventRate */
/** @typedef {Schemas['EyeFindings']} EyeFindings */
/** @typedef {Schemas['Few']} Few */
/** @typedef {Schemas['Finding']} Finding */
/** @typedef {Schemas['FollowUp']} FollowUp */
/** @typedef {Schemas['Glance']} Glance */
/** @typedef {Schemas['GrowthReading']} GrowthReading */
/** @typedef {Schemas['GrowthRow']} GrowthRow */
/** @typedef {Schemas['LensIn']} LensIn */
/** @typedef {Schemas['LoadRow']} LoadRow */
/** @typedef {Schemas['MorningRow']} MorningRow */
/** @typedef {Schemas['NightRow']} NightRow */
/** @typedef {Schemas['NoteRow']} NoteRow */
/** @typedef {Schemas['OrderRow']} OrderRow */
/** @typedef {Schemas['Outcome']} Outcome */
/** @typedef {Schemas['PauseRow']} PauseRow */
/** @typedef {Schemas['PlanFacts']} PlanFacts */
/** @typedef {Schemas['Point']} Point */
/** @typedef {Schemas['PracticeFigures']} PracticeFigures */
/** @typedef {Schemas['Reason']} Reason */
/** @typedef {Schemas['Refraction']} Refraction */
/** @typedef {Schemas['Share']} Share */
/** @typedef {Schemas['SightRow']} SightRow */
/** @typedef {Schemas['Spread']} Spread */
/** @typedef {Schemas['Stand']} Stand */
/** @typedef {Schemas['Stretch']} Stretch */
/** @typedef {Schemas['Summary']} Summary */
/** @typedef {Schemas['SupplyRow']} SupplyRow */
/** @typedef {Schemas['SurvivalRow']} SurvivalRow */
/** @typedef {Schemas['SymptomRow']} SymptomRow */
/** @typedef {Schemas['Trust']} Trust */
/** @typedef {Schemas['Visit']} Visit */
/** @typedef {Schemas['Wearer']} Wearer */
/** @typedef {Schemas['WeekdayRow']} WeekdayRow */

export {};
