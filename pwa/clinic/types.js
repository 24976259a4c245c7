// The shapes the server's package review answers with, for the type checker.
// Each mirrors the Go struct of the same name, where every field is explained.

/** @import { Plan } from './api.js' */
/** @typedef {{id: string, family: string, code: string, name: string, birth?: string}} Wearer */

/**
 * @typedef {object} Refraction
 * @property {number} sphere
 * @property {number} cylinder
 * @property {number} axis
 */

/**
 * @typedef {object} EyeFindings
 * @property {Refraction|null} [refraction]
 * @property {Refraction|null} [residual]
 * @property {number|null} [unaided]
 * @property {number|null} [best_corrected]
 * @property {Record<string, number>} [grades]
 * @property {Record<string, number>} [staining]
 * @property {number|null} [axial_mm]
 * @property {Record<string, number>} [measures]
 * @property {Record<string, string>} [words]
 * @property {string} [topography]
 * @property {string} [lens]
 */

/**
 * @typedef {object} Visit
 * @property {string} id
 * @property {string} date
 * @property {string} kind
 * @property {string} state
 * @property {string} due
 * @property {boolean} [shift_later]
 * @property {string} [time]
 * @property {EyeFindings} right
 * @property {EyeFindings} left
 * @property {string} [scale]
 * @property {string} [instrument]
 * @property {string} [advice]
 * @property {string} [by]
 */

/**
 * @typedef {object} Share
 * @property {number} done
 * @property {number} not_done
 * @property {number} unknown
 * @property {number} share
 * @property {number} low
 * @property {number} high
 * @property {number} bound_low
 * @property {number} bound_high
 */

/**
 * @typedef {object} AlertFact
 * @property {string} id
 * @property {string} wearer
 * @property {string} rule
 * @property {string} title
 * @property {string} level
 * @property {string} state
 * @property {string} [began]
 * @property {string} opened
 * @property {string} [ack_at]
 * @property {string} [closed_at]
 * @property {string} outcome
 */

/** @typedef {Plan} PlanFacts */

/**
 * @typedef {object} Summary
 * @property {Wearer} wearer
 * @property {string} today
 * @property {string} from
 * @property {string} to
 * @property {number} age
 * @property {PlanFacts|null} plan
 * @property {Visit|null} last_visit
 * @property {Visit|null} next_visit
 * @property {NightRow[]} nights
 * @property {Counts} counts
 * @property {Share} wear
 * @property {Spread} hours
 * @property {Bedtime} bedtime
 * @property {WeekdayRow[]} weekdays
 * @property {CareRow[]} care
 * @property {Share} all_care
 * @property {SightRow[]} sight
 * @property {AcuityRow[]} acuity
 * @property {EffectRow[]} effect
 * @property {MorningRow[]} mornings
 * @property {SymptomRow[]} symptoms
 * @property {SupplyRow[]} supplies
 * @property {AlertFact[]} alerts
 * @property {NoteRow[]} notes
 * @property {PauseRow[]} pauses
 * @property {Event[]} timeline
 * @property {GrowthRow[]} growth
 * @property {Trust} trust
 * @property {Point[]} points
 * @property {{rule: string, level: string, title: string}[]} rules about the log, that hold as of tonight
 * @property {Change[]} changes
 * @property {string[]} cannot_tell
 * @property {Glance} glance
 */

/** @typedef {{from: string, to: string, reason: string, agreed: boolean, by?: string, entry?: string}} PauseRow agreed: in the plan; else the family's own, which rests reminders and excuses no night */

/**
 * @typedef {object} NightRow
 * @property {string} night
 * @property {'worn'|'short'|'missed'|'not-logged'|'differ'} status
 * @property {'worn'|'short'|'missed'|'not-logged'|'differ'} counted
 * @property {string} [reason]
 * @property {string} [eye]
 * @property {number|null} hours
 * @property {number|null} slept_minutes
 * @property {string} [in]
 * @property {string} [out]
 * @property {string} [zone]
 * @property {boolean} left_in
 * @property {boolean} differs
 * @property {number|null} late_hours
 * @property {number} min_hours
 * @property {boolean} symptoms
 * @property {boolean} memory
 * @property {string[]} [stopped]
 */

/**
 * @typedef {object} Counts
 * @property {number} nights
 * @property {number} worn
 * @property {number} short
 * @property {number} missed
 * @property {number} not_logged
 * @property {number} differ
 * @property {number} no_hours
 * @property {Record<string, number>} reasons
 * @property {number} longest_missed
 */

/**
 * @typedef {object} Spread
 * @property {number} n
 * @property {number} median
 * @property {number} low
 * @property {number} high
 * @property {number} min
 * @property {number} max
 */

/**
 * @typedef {object} Bedtime
 * @property {number} n
 * @property {string} mean
 * @property {number} sd_minutes
 * @property {number} resultant
 */

/**
 * @typedef {object} WeekdayRow
 * @property {string} day
 * @property {Share} wear
 */

/**
 * @typedef {object} CareRow
 * @property {string} item
 * @property {string} title
 * @property {string} good
 * @property {Share} share
 * @property {string} marks
 * @property {string[]} nights
 */

/**
 * @typedef {object} SightRow
 * @property {string} night
 * @property {number} rating
 * @property {number|null} hours
 * @property {string} [halos]
 * @property {boolean|null} spectacles
 * @property {boolean} differs
 */

/**
 * @typedef {object} AcuityRow
 * @property {string} entry
 * @property {string} night
 * @property {string} at
 * @property {string} eye
 * @property {number} distance_m
 * @property {number|null} logmar
 * @property {number|null} sd
 * @property {boolean} reliable
 * @property {number} trials
 * @property {string} [note]
 */

/**
 * @typedef {object} EffectRow
 * @property {string} eye
 * @property {number} baseline_d
 * @property {string} status
 * @property {string} why
 * @property {number|null} clear_hours
 * @property {number|null} clear_low
 * @property {number|null} clear_high
 * @property {EffectDay[]} residual
 */

/**
 * @typedef {object} EffectDay
 * @property {string} night
 * @property {number} d
 * @property {number} low
 * @property {number} high
 */

/**
 * @typedef {object} MorningRow
 * @property {string} night
 * @property {string} [moved]
 * @property {boolean|null} drops
 * @property {number|null} comfort
 * @property {number|null} redness
 */

/**
 * @typedef {object} SymptomRow
 * @property {string} entry
 * @property {string} night
 * @property {string} at
 * @property {string} [began]
 * @property {Record<string, string>} [right]
 * @property {Record<string, string>} [left]
 * @property {string} [ill]
 * @property {string} [note]
 * @property {string} words
 */

/**
 * @typedef {object} SupplyRow
 * @property {string} entry
 * @property {string} on
 * @property {string} item
 * @property {string} action
 * @property {string} [eye]
 * @property {number} [discard_after_days]
 * @property {string} [label]
 * @property {string} due
 */

/**
 * @typedef {object} NoteRow
 * @property {string} entry
 * @property {string} night
 * @property {string} by
 * @property {string} text
 */

/**
 * @typedef {object} Event
 * @property {string} date
 * @property {string} lane
 * @property {string} text
 * @property {string} [level]
 * @property {string} [ref]
 */

/**
 * @typedef {object} GrowthRow
 * @property {string} eye
 * @property {GrowthReading[]} readings
 * @property {number|null} mm_per_year
 * @property {number|null} low
 * @property {number|null} high
 * @property {string} [class]
 * @property {string} [why]
 * @property {string} [period]
 * @property {{period: string, mm_per_year: number, low: number, high: number}[]} earlier
 * @property {Beside[]} beside
 * @property {number|null} percentile
 * @property {string} [percentile_of]
 */

/**
 * @typedef {object} GrowthReading
 * @property {string} date
 * @property {number} mm
 * @property {string} instrument
 * @property {string} [note]
 */

/**
 * @typedef {object} Beside
 * @property {string} name
 * @property {string} relation
 * @property {number} mm_per_year
 * @property {string} population
 * @property {string} source
 */

/**
 * @typedef {object} Trust
 * @property {number} entries
 * @property {Share} unlogged
 * @property {number} late_median_hours
 * @property {number} late_nights
 * @property {Batch[]} batches
 * @property {ClockNote[]} clock_notes
 * @property {number} differ
 * @property {number} corrections
 * @property {number} retractions
 * @property {number} handed_in
 * @property {string[]} words
 */

/**
 * @typedef {object} Batch
 * @property {string} on
 * @property {number} nights
 */

/**
 * @typedef {object} ClockNote
 * @property {string} device
 * @property {number} entries
 * @property {number} max_skew_ms
 */

/**
 * @typedef {object} Glance
 * @property {'since-visit'|'since-start'|'usual'|'chosen'} period
 * @property {Stand[]} stand
 * @property {{level: 'none'|'some'|'much', words: string, detail: string, memory: number}} doubt
 * @property {Stretch} last
 * @property {Stretch} before
 * @property {{item: string, title: string, nights: number, of: number, last: string, when: string}|null} danger
 * @property {{title: string, text: string, rules: string[], danger: boolean}[]} raise
 * @property {number} more
 * @property {Finding[]} findings
 */

/** @typedef {{eye: 'right'|'left', state: 'none'|'rest'|'stop', since: string, until: string, by: string, why: string}} Stand */

/** @typedef {{nights: number, wear: Share, hours: number}} Stretch */

/** @typedef {{name: string, right: string, left: string, right_on: string, left_on: string}} Finding */

/**
 * @typedef {object} Point
 * @property {string} rule
 * @property {string} text
 * @property {string} evidence
 * @property {string} basis
 */

/**
 * @typedef {object} Change
 * @property {string} what
 * @property {string} before
 * @property {string} now
 * @property {string} text
 */

/**
 * @typedef {object} Outcome
 * @property {string} key
 * @property {string} title
 * @property {boolean} seen
 * @property {boolean} event
 */

/**
 * @typedef {object} FollowUp
 * @property {string} wearer
 * @property {string} rule
 * @property {string} on
 * @property {string} by
 * @property {string} outcome
 * @property {string} [note]
 * @property {string} until
 */

/**
 * @typedef {object} Call
 * @property {string} wearer
 * @property {string} name
 * @property {string} code
 * @property {number} rank
 * @property {Reason[]} reasons
 * @property {FollowUp[]} done
 */

/**
 * @typedef {object} Reason
 * @property {string} rule
 * @property {string} title
 * @property {string} text
 * @property {string} evidence
 * @property {string} basis
 * @property {number} rank
 * @property {string} since
 */

/**
 * @typedef {object} CallList
 * @property {Call[]} calls
 * @property {OrderRow[]} order
 */

/**
 * @typedef {object} OrderRow
 * @property {number} rank
 * @property {string} rule
 * @property {string} title
 * @property {string} why
 * @property {number} families how many of all that need a call have this reason
 */

/**
 * @typedef {object} Few
 * @property {number} n
 * @property {string} text
 * @property {boolean} small
 */

/**
 * @typedef {object} PracticeFigures
 * @property {string} from
 * @property {string} to
 * @property {Few} wearers
 * @property {number} years
 * @property {Share} wear
 * @property {Counts} nights
 * @property {Share} all_care
 * @property {Share} recalls
 * @property {SurvivalRow[]} continuing
 * @property {Few} stopped
 * @property {LoadRow[]} alerts
 * @property {EventRate} events
 * @property {string[]} beside
 * @property {string[]} notes
 */

/**
 * @typedef {object} SurvivalRow
 * @property {number} months
 * @property {number} share
 * @property {number} se
 * @property {number} at_risk
 */

/**
 * @typedef {object} LoadRow
 * @property {string} level
 * @property {Few} opened
 * @property {number|null} per_100_wearer_years
 * @property {number|null} ack_median_minutes
 * @property {number|null} ack_p90_minutes
 * @property {Few} unacknowledged
 */

/**
 * @typedef {object} EventRate
 * @property {Few} events
 * @property {number} years
 * @property {number|null} per_10000
 * @property {number|null} low
 * @property {number|null} high
 * @property {string} published
 */

export {};
