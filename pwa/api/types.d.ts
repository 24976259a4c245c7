// Made by npm run api; not to be edited. 3392fd6233fd3351 6c82287809d6f6e3
export type paths = Record<string, never>;
export type webhooks = Record<string, never>;
export interface components {
    schemas: {
        Absence: {
            from: string;
            person: string;
            to: string;
        };
        AcuityRow: {
            /** Format: date-time */
            at: string;
            distance_m: number;
            entry: string;
            eye: string;
            logmar: number | null;
            night: string;
            note?: string;
            reliable: boolean;
            sd: number | null;
            trials: number;
        };
        AdverseDevice: {
            design?: string;
            dispensed: string;
            /** @enum {string} */
            in_wear: "yes" | "no" | "not-known";
            /** @enum {string} */
            kept: "yes" | "no" | "not-known";
            label?: string;
            lens?: string;
            lot?: string;
            material?: string;
            serial?: string;
            solution?: string;
        };
        AdverseEvent: {
            actions: string[];
            alert?: string;
            aware: string;
            began: string;
            by: string;
            device: components["schemas"]["AdverseDevice"];
            earlier?: components["schemas"]["AdverseEvent"][];
            /** @enum {string} */
            eye: "right" | "left" | "both";
            found?: string;
            history?: string;
            id: string;
            kind: string;
            not_sure?: boolean;
            on: string;
            /** @enum {string} */
            outcome: "not-known" | "going-on" | "settled" | "settled-with-trace" | "settled-with-loss";
            reporter: components["schemas"]["Reporter"];
            serious: string[];
            settled: string;
            sight_is?: number;
            sight_was?: number;
            told?: string;
            told_number?: string;
            told_on: string;
            treatment?: string;
            version: number;
            words: string;
        };
        AdverseRow: {
            events: components["schemas"]["Few"];
            high: number | null;
            kind: string;
            low: number | null;
            per_10000: number | null;
            serious: components["schemas"]["Few"];
            title: string;
        };
        AgainRequest: {
            base: number;
            baseline_left?: number;
            baseline_right?: number;
            first: string;
            sure?: boolean;
            why?: string;
            words?: string;
            yes?: string;
        };
        AlertEvent: {
            /** Format: date-time */
            at: string;
            /** Format: date-time */
            last?: string;
            outcome?: string;
            text: string;
            times?: number;
            what: string;
            who_name: string;
        };
        AlertFact: {
            /** Format: date-time */
            ack_at?: string;
            /** Format: date-time */
            began?: string;
            /** Format: date-time */
            closed_at?: string;
            closings?: components["schemas"]["ReviewClosing"][];
            eye?: string;
            found?: string[];
            id: string;
            level: string;
            /** Format: date-time */
            opened: string;
            outcome: string;
            rule: string;
            state: string;
            title: string;
            wearer: string;
        };
        AlertList: {
            alerts: components["schemas"]["AlertView"][];
            blind: boolean;
            duty: components["schemas"]["OnDutyNow"][];
            lost: number;
            /** Format: date-time */
            now: string;
        };
        AlertRate: {
            high: number;
            level: string;
            low: number;
            nights: number;
            opened: number;
            per_1000: number;
        };
        AlertReply: {
            alert: components["schemas"]["AlertView"];
        };
        AlertView: {
            /** Format: date-time */
            ack_at?: string;
            ack_by_name?: string;
            age?: string;
            assigned_name?: string;
            /** Format: date-time */
            began?: string;
            birth?: string;
            closed_before?: components["schemas"]["LastClosing"];
            closings?: components["schemas"]["ClosingView"][];
            consent_withdrawn?: boolean;
            contact: components["schemas"]["ClinicContact"][];
            /** Format: date-time */
            desk_at?: string;
            desk_name?: string;
            drill?: boolean;
            episode: components["schemas"]["Episode"];
            eye: string;
            history: components["schemas"]["AlertEvent"][];
            id: string;
            language?: string;
            lapsed: boolean;
            left?: components["schemas"]["EyeReading"];
            /** @enum {string} */
            level: "emergency" | "urgent" | "routine" | "note";
            /** Format: date-time */
            opened: string;
            outcome?: string;
            phone_language?: string;
            raw?: components["schemas"]["RawReport"][];
            review_due?: string;
            right?: components["schemas"]["EyeReading"];
            rule: string;
            rule_version: number;
            said?: unknown[];
            /** Format: date-time */
            since: string;
            /** Format: date-time */
            spoken?: string;
            /** @enum {string} */
            state: "open" | "acknowledged" | "closed";
            step: string;
            title: string;
            /** Format: date-time */
            tried?: string;
            wearer: string;
            wearer_code: string;
            wearer_name: string;
            zone: string;
        };
        Approval: {
            /** Format: date-time */
            at: string;
            by: string;
            version: number;
        };
        ArchivePage: {
            alerts: components["schemas"]["AlertView"][];
            /** Format: date-time */
            before?: string;
            more: boolean;
        };
        Area: {
            hazards: components["schemas"]["Hazard"][];
            name: string;
            requirement: string;
        };
        Arrival: {
            number: string;
        };
        AskRow: {
            alone: string[];
            /** Format: date-time */
            at: string;
            back?: string;
            by: string;
            by_name: string;
            id: string;
            on: string;
            with: string;
            with_name: string;
        };
        Assertion: {
            credential: unknown;
        };
        Attachment: {
            /** Format: date-time */
            at: string;
            by: string;
            eye?: string;
            id: string;
            size: number;
            /** @enum {string} */
            type: "image/jpeg" | "image/png" | "application/pdf";
            visit: string;
            what: string;
        };
        AttachmentList: {
            attachments: components["schemas"]["Attachment"][];
            left_bytes: number;
            most_bytes: number;
        };
        AttachmentReply: {
            attachment: components["schemas"]["Attachment"];
        };
        AuditLine: {
            /** Format: date-time */
            at: string;
            did: string;
            name: string;
            seq: number;
            what: string;
            who: string;
        };
        AuditPage: {
            broken: number;
            cut: number;
            lacks: boolean;
            lines: components["schemas"]["AuditLine"][];
            older: number;
        };
        AuthorityRequest: {
            /** @enum {string} */
            basis: "parent" | "guardian" | "adult" | "consented";
        };
        AuthorityView: {
            /** Format: date-time */
            at?: string;
            basis: string;
            by: string;
        };
        Backup: {
            Every: number;
            Failed: string;
            /** Format: date-time */
            Newest: string;
        };
        Batch: {
            nights: number;
            on: string;
        };
        Bedtime: {
            mean: string;
            n: number;
            resultant: number;
            sd_minutes: number;
        };
        Beside: {
            mm_per_year: number;
            name: string;
            population: string;
            relation: string;
            source: string;
        };
        Breach: {
            /** Format: date-time */
            at: string;
            by: string;
            effects: string;
            found: string;
            id: string;
            lines: components["schemas"]["BreachLine"][];
            measures: string;
            told: string;
            what: string;
            whose: string;
        };
        BreachFacts: {
            effects: string;
            found: string;
            measures: string;
            told: string;
            what: string;
            whose: string;
        };
        BreachLine: {
            /** Format: date-time */
            at: string;
            by: string;
            text: string;
        };
        BreachList: {
            breaches: components["schemas"]["Breach"][];
        };
        BreachText: {
            text: string;
        };
        CalendarAddress: {
            address: string;
        };
        CalendarState: {
            made: string | null;
        };
        Call: {
            code: string;
            done: components["schemas"]["FollowUp"][];
            name: string;
            rank: number;
            reasons: components["schemas"]["Reason"][];
            wearer: string;
        };
        CallBeside: {
            age: number;
            called?: components["schemas"]["CalledOf"];
            consent_withdrawn?: boolean;
            phones: components["schemas"]["Phone"][];
            strip: string;
            wear: string;
        };
        CallList: {
            calls: components["schemas"]["Call"][];
            order: components["schemas"]["OrderRow"][];
        };
        CallRequest: {
            result: string;
            text?: string;
        };
        CalledOf: {
            /** Format: date-time */
            at: string;
            by: string;
            /** @enum {string} */
            result: "reached" | "not-reached" | "left-word";
        };
        Candidate: {
            age_years: number;
            answers: {
                [key: string]: string;
            };
            asked: number;
            /** Format: date-time */
            at: string;
            by: string;
            id: string;
            left: components["schemas"]["Refraction"];
            note?: string;
            right: components["schemas"]["Refraction"];
        };
        CandidateRequest: {
            age_years: number;
            answers: {
                [key: string]: string;
            };
            asked: number;
            left: components["schemas"]["Refraction"];
            note?: string;
            right: components["schemas"]["Refraction"];
        };
        CareCause: {
            check?: string;
            from?: string;
            id: string;
            kind: string;
            left: string;
            mark: string;
            night: string;
        };
        CareContact: {
            name: string;
            phone: string;
            relation?: string;
        };
        CareRow: {
            good: string;
            item: string;
            marks: string;
            nights: string[];
            share: components["schemas"]["Share"];
            title: string;
        };
        Change: {
            before: string;
            now: string;
            text: string;
            what: string;
        };
        Choices: {
            lock_screen_words: string;
            off: string[];
            own?: components["schemas"]["Own"];
            parent_after_minutes: number | null;
            remind_first: string;
        };
        Claim: {
            /** Format: date-time */
            at: string;
            begins?: string;
            by: string;
            check?: boolean;
            /** Format: date-time */
            dismissed?: string;
            dismissed_by?: string;
            eyes: string[];
            from?: string;
            id: string;
            /** @enum {string} */
            kind: "cease" | "resume";
            night: string;
            on: string;
            review_by?: string;
            text?: string;
        };
        ClinicContact: {
            name: string;
            phone: string;
            relation: string;
        };
        ClinicMe: {
            family_news: components["schemas"]["FamilyNews"][];
            language: string;
            /** Format: date-time */
            now: string;
            on_duty: components["schemas"]["DutyNow"][];
            outcomes: components["schemas"]["Outcome"][];
            person: components["schemas"]["StaffView"];
            practice: components["schemas"]["PracticeHead"];
            push: boolean;
            staff: components["schemas"]["OnRota"][];
            staff_changes: components["schemas"]["StaffChange"][];
            today: string;
            vapid_key: string;
        };
        ClinicRuleRow: {
            basis: string;
            clinic: string;
            exact: string;
            family: string;
            id: string;
            level: string;
            title: string;
            when: string;
        };
        ClockNote: {
            device: string;
            entries: number;
            max_skew_ms: number;
        };
        Clocks: {
            evening_sight_at?: string;
            insertion_at?: string;
            removal_at?: string;
        };
        CloseRequest: {
            causes: string[];
            cleared?: string;
            decision?: string;
            entries: components["schemas"]["Draft"][];
            known?: string[];
            lens?: string;
            note: string;
            outcome: string;
            sure?: boolean;
            where?: string;
            yes?: string;
        };
        ClosingView: {
            /** Format: date-time */
            at: string;
            by: string;
            decision?: string;
            lenses?: components["schemas"]["EyeSaid"][];
            name: string;
            note?: string;
            outcome: string;
            said?: string[];
            where?: string;
        };
        ComeOfAge: {
            devices: string[];
            keep: string[];
            person: string;
        };
        CommentRequest: {
            text: string;
        };
        Consent: {
            agreed: string;
            at: string;
            version: string;
            withdrawn: boolean;
        };
        ConsentLine: {
            /** Format: date-time */
            at: string;
            device: string;
            for: string[];
            version: string;
            withdrawn: boolean;
        };
        ConsentOf: {
            agreed: string;
            at: string;
            withdrawn: boolean;
        };
        ConsentRequest: {
            version: string;
        };
        ConsentRow: {
            /** Format: date-time */
            at: string;
            person: string;
            role: string;
            version: string;
            withdrawn: boolean;
        };
        ConsentText: {
            authority: string;
            contact: string;
            controller: string;
            own: {
                [key: string]: string;
            };
            until_age: number;
            version: string;
            words: string;
            years: number;
        };
        Contacts: {
            after_hours_phone: string;
            clinic: string;
            closed: string[];
            emergency_number: string;
            emergency_place: components["schemas"]["Place"];
            hours: components["schemas"]["Hours"][];
            phone: string;
            zone: string;
        };
        Control: {
            code: string[];
            tests: string[];
            what: string;
        };
        Counts: {
            differ: number;
            longest_missed: number;
            missed: number;
            nights: number;
            no_hours: number;
            not_logged: number;
            reasons: {
                [key: string]: number;
            };
            rest: number;
            short: number;
            stopped: number;
            worn: number;
        };
        Course: {
            baseline_left: number;
            baseline_right: number;
            first: string;
            stopped: string;
        };
        CourseCause: {
            eye: string;
            kind: string;
            night: string;
        };
        CourseRow: {
            baseline_left: number;
            baseline_right: number;
            first: string;
            stopped: string;
            wash_out: components["schemas"]["WashOut"] | null;
        };
        CourseView: {
            actions: components["schemas"]["Named"][];
            alerts: components["schemas"]["EventAlert"][];
            candidates: components["schemas"]["Candidate"][];
            causes: components["schemas"]["CourseCause"][];
            consents: components["schemas"]["ConsentRow"][];
            courses: components["schemas"]["CourseRow"][];
            ended: boolean;
            endings: components["schemas"]["Ending"][];
            ends: string;
            events: components["schemas"]["AdverseEvent"][];
            kinds: components["schemas"]["Named"][];
            lenses: components["schemas"]["Lens"][];
            outcomes: components["schemas"]["Named"][];
            plan: number;
            reasons: components["schemas"]["EndingReason"][];
            serious: components["schemas"]["Named"][];
            stopped: string[];
            today: string;
            wearer: components["schemas"]["Head"];
        };
        Danger: {
            item: string;
            last: string;
            nights: number;
            of: number;
            title: string;
            when: string;
        };
        DeviceList: {
            devices: components["schemas"]["OwnDevice"][];
        };
        DeviceName: {
            name: string;
        };
        DeviceView: {
            id: string;
            /** Format: date-time */
            last_seen: string;
            messages: boolean;
            name: string;
            revoked: boolean;
        };
        Disease: {
            alert: string;
            /** Format: date-time */
            at: string;
            eye: string;
            name: string;
            outcome: string;
        };
        Done: {
            ok: boolean;
        };
        Doubt: {
            detail: string;
            level: string;
            memory: number;
            words: string;
        };
        Draft: {
            body: unknown;
            kind: string;
        };
        Drill: {
            /** Format: date-time */
            began: string;
            by: string;
            desk?: string;
            /** Format: date-time */
            ended?: string;
            /** @enum {string} */
            family: "waits" | "none" | "failed" | "sent" | "shown";
            id: string;
            /** Format: date-time */
            sent?: string;
            /** Format: date-time */
            shown?: string;
            /** @enum {string} */
            state: "running" | "answered" | "unanswered";
            taken_by?: string;
        };
        DrillList: {
            drills: components["schemas"]["Drill"][];
            phones: number;
            why: string;
        };
        DueVisit: {
            booked: string;
            due: string;
            kind: string;
        };
        Duty: {
            date: string;
            deputy: string;
            from: string;
            person: string;
            to: string;
        };
        DutyLine: {
            asked: boolean;
            gap: components["schemas"]["Gap"] | null;
            name: string;
            next: string;
            phone: string;
            second: string;
            tested: components["schemas"]["Tested"];
            until: string | null;
        };
        DutyList: {
            asks: components["schemas"]["AskRow"][];
            duties: components["schemas"]["DutyRow"][];
        };
        DutyNow: {
            name: string;
            phone: string;
        };
        DutyRow: {
            deputy: string;
            deputy_name: string;
            /** Format: date-time */
            from: string;
            name: string;
            person: string;
            phone: string;
            start: string;
            /** Format: date-time */
            to: string;
        };
        EffectDay: {
            d: number;
            high: number;
            low: number;
            night: string;
        };
        EffectRow: {
            baseline_d: number;
            clear_high: number | null;
            clear_hours: number | null;
            clear_low: number | null;
            eye: string;
            residual: components["schemas"]["EffectDay"][];
            status: string;
            why: string;
        };
        EndOfWear: {
            by: string;
            night: string;
            over: boolean;
            why: string;
        };
        EndRequest: {
            base: number;
            note?: string;
            reason: string;
            stopped: string;
            sure?: boolean;
            words?: string;
            yes?: string;
        };
        Ending: {
            by: string;
            id: string;
            note?: string;
            on: string;
            reason: string;
            spectacles: string;
            spectacles_note?: string;
            stopped: string;
            taken_back: string;
        };
        EndingReason: {
            key: string;
            title: string;
        };
        Entry: {
            author: string;
            body: unknown;
            by_name?: string;
            device: string;
            dseq: number;
            /** Format: date-time */
            first_recv?: string;
            fseq?: number;
            hlc: string;
            id: string;
            judged?: components["schemas"]["Marks"];
            kind: string;
            mac?: string;
            night: string;
            offset: number;
            /** Format: date-time */
            recv?: string;
            retracts?: string;
            skew_ms?: number;
            supersedes?: string[];
            v: number;
            via?: string;
            wall: string;
            wearer: string;
            zone: string;
        };
        Episode: {
            /** Format: date-time */
            at: string;
            began: string;
            /** Format: date-time */
            began_at?: string;
            clock_off_ms?: number;
            denied: string[];
            denied_before?: components["schemas"]["EpisodeDenied"][];
            earlier: components["schemas"]["EpisodeHead"][];
            eye: string;
            headline: string;
            later: components["schemas"]["EpisodeHead"][];
            level?: string;
            logged: components["schemas"]["EpisodeLog"][];
            notes: components["schemas"]["FamilyWords"][];
            open: string[];
            /** Format: date-time */
            reached: string;
            seen: components["schemas"]["EpisodeSign"][];
            told: components["schemas"]["EpisodeTold"][];
        };
        EpisodeDenied: {
            /** Format: date-time */
            at: string;
            text: string;
        };
        EpisodeHead: {
            /** Format: date-time */
            at: string;
            eye: string;
            headline: string;
            level: string;
            /** Format: date-time */
            reached: string;
        };
        EpisodeLog: {
            /** Format: date-time */
            at: string;
            entry?: string;
            leads?: boolean;
            text: string;
        };
        EpisodeSign: {
            answer: string;
            /** Format: date-time */
            at: string;
            began?: string;
            /** Format: date-time */
            began_at?: string;
            eye: string;
            sign: string;
            since?: string;
            /** Format: date-time */
            since_at?: string;
        };
        EpisodeTold: {
            /** Format: date-time */
            at: string;
            here: number;
            level: string;
            steps: string[];
            table: number;
        };
        Erasure: {
            alerts: number;
            devices: number;
            entries: number;
            family: string;
            name: string;
            open: number;
            people: number;
            visits: number;
            wearers: string[];
        };
        ErrorBody: {
            error: components["schemas"]["ErrorDetail"];
        };
        ErrorDetail: {
            code: string;
            field: string;
            message: string;
            reading?: components["schemas"]["Reading"];
        };
        EscalateClosing: {
            /** Format: date-time */
            at: string;
            by: string;
            decision?: string;
            name: string;
            note?: string;
            outcome: string;
            said?: string[];
            where?: string;
        };
        Event: {
            date: string;
            lane: string;
            level?: string;
            ref?: string;
            text: string;
        };
        EventAlert: {
            event: boolean;
            id: string;
            /** Format: date-time */
            opened: string;
            rule: string;
        };
        EventRate: {
            events: components["schemas"]["Few"];
            high: number | null;
            low: number | null;
            per_10000: number | null;
            published: string;
            years: number;
        };
        EventReply: {
            event: components["schemas"]["AdverseEvent"];
        };
        EventRequest: {
            actions: string[];
            alert?: string;
            aware: string;
            base: number;
            began: string;
            by: string;
            device: components["schemas"]["AdverseDevice"];
            earlier?: components["schemas"]["AdverseEvent"][];
            /** @enum {string} */
            eye: "right" | "left" | "both";
            found?: string;
            history?: string;
            id: string;
            kind: string;
            not_sure?: boolean;
            on: string;
            /** @enum {string} */
            outcome: "not-known" | "going-on" | "settled" | "settled-with-trace" | "settled-with-loss";
            reporter: components["schemas"]["Reporter"];
            serious: string[];
            settled: string;
            sight_is?: number;
            sight_was?: number;
            sure?: boolean;
            told?: string;
            told_number?: string;
            told_on: string;
            treatment?: string;
            version: number;
            words: string;
        };
        EyeFindings: {
            axial_mm?: number;
            best_corrected?: number;
            best_corrected_as?: string;
            grades?: {
                [key: string]: number;
            };
            lens?: string;
            measures?: {
                [key: string]: number;
            };
            refraction?: components["schemas"]["Refraction"];
            residual?: components["schemas"]["Refraction"];
            staining?: {
                [key: string]: number;
            };
            topography?: string;
            unaided?: number;
            unaided_as?: string;
            wear?: string;
            words?: {
                [key: string]: string;
            };
        };
        EyeReading: {
            begins?: string;
            check?: boolean;
            from?: string;
            state: string;
            until?: string;
        };
        EyeSaid: {
            again: boolean;
            check?: boolean;
            /** @enum {string} */
            eye: "right" | "left";
            from?: string;
            review_by?: string;
        };
        EyeWear: {
            causes: components["schemas"]["CareCause"][];
            state: string;
            until?: string;
        };
        Facts: {
            Backup: components["schemas"]["Backup"] | null;
            Blind: boolean;
            /** Format: date-time */
            CertEnds: string;
            CertSpoilt: boolean;
            CertWaits: string;
            CertWrong: string;
            ClockStep: number;
            ClockSynced: boolean | null;
            File: number;
            Free: number | null;
            Gone: boolean;
            /** Format: date-time */
            LadderFails: string;
            /** Format: date-time */
            LastTick: string;
            LeftAlerts: number;
            LostAlerts: number;
            LostPeople: number;
            /** Format: date-time */
            OldestOutbox: string;
            OnDuty: boolean | null;
            /** Format: date-time */
            PushFailing: string;
            /** Format: date-time */
            Refused: string;
            RefusesStill: boolean;
            /** Format: date-time */
            Rehearsed: string;
            /** Format: date-time */
            ReportsFail: string;
            /** Format: date-time */
            Restored: string;
            Unreadable: number;
        };
        FamilyAlert: {
            /** Format: date-time */
            began?: string;
            /** Format: date-time */
            closed_at?: string;
            decided?: string[];
            /** Format: date-time */
            desk_at?: string;
            entries: string[];
            entry: string;
            id: string;
            kept?: components["schemas"]["KeptEntry"][];
            lapsed: boolean;
            /** Format: date-time */
            lapses_at?: string;
            /** @enum {string} */
            level: "emergency" | "urgent" | "routine" | "note";
            /** Format: date-time */
            opened: string;
            /** Format: date-time */
            seen_at?: string;
            seen_by?: string;
            /** Format: date-time */
            spoken_at?: string;
            /** @enum {string} */
            state: "open" | "acknowledged" | "closed";
            /** Format: date-time */
            tried_at?: string;
            wearer: string;
        };
        FamilyDetail: {
            id: string;
            language: string;
            name: string;
            people: components["schemas"]["FamilyPerson"][];
            second: components["schemas"]["CareContact"];
            wearers: components["schemas"]["FamilyWearer"][];
            zone: string;
        };
        FamilyHead: {
            id: string;
            name: string;
            zone: string;
        };
        FamilyHeading: {
            language: string;
            name: string;
            second: components["schemas"]["CareContact"];
            zone: string;
        };
        FamilyNews: {
            /** Format: date-time */
            at: string;
            device: string;
            family: string;
            id: string;
            /** @enum {string} */
            kind: "device" | "withdrawn" | "agreed";
            name: string;
            person: string;
        };
        FamilyPerson: {
            authority: components["schemas"]["AuthorityView"];
            consent: components["schemas"]["ConsentOf"];
            devices: components["schemas"]["DeviceView"][];
            given: components["schemas"]["ConsentLine"][];
            id: string;
            invited_until: string | null;
            name: string;
            phone: string;
            role: string;
            wearer: string;
        };
        FamilyView: {
            consent: components["schemas"]["Consent"];
            contacts: components["schemas"]["Contacts"];
            device: string;
            family: components["schemas"]["FamilyHead"];
            heard: boolean;
            least_rules?: number;
            may_invite: boolean;
            may_private: boolean;
            news: components["schemas"]["NewsView"][];
            /** Format: date-time */
            now: string;
            people: components["schemas"]["PersonView"][];
            person: components["schemas"]["PersonView"];
            rule_settings: {
                [key: string]: number;
            };
            speaks?: string;
            vapid: string;
            wearers: components["schemas"]["WearerView"][];
        };
        FamilyWearer: {
            birth: string;
            code: string;
            id: string;
            name: string;
        };
        FamilyWords: {
            /** Format: date-time */
            at: string;
            by: string;
            entry: string;
            on: string;
            private: boolean;
            /** Format: date-time */
            read?: string;
            read_by?: string;
            taken_back: boolean;
            text: string;
        };
        Few: {
            n: number;
            small: boolean;
            text: string;
        };
        Finding: {
            left: string;
            left_on: string;
            name: string;
            right: string;
            right_on: string;
        };
        FollowUp: {
            by: string;
            note?: string;
            on: string;
            outcome: string;
            rule: string;
            until: string;
            wearer: string;
        };
        FollowUpRequest: {
            note: string;
            outcome: string;
            read?: string[];
            rule: string;
            until: string;
            wearer: string;
        };
        Gap: {
            /** Format: date-time */
            from: string;
            hours: boolean;
            /** Format: date-time */
            to: string;
        };
        Glance: {
            before: components["schemas"]["Stretch"];
            claims: components["schemas"]["Claim"][];
            danger: components["schemas"]["Danger"] | null;
            doubt: components["schemas"]["Doubt"];
            findings: components["schemas"]["Finding"][];
            last: components["schemas"]["Stretch"];
            last_alert: components["schemas"]["AlertFact"] | null;
            lenses_in: components["schemas"]["LensIn"][];
            more: number;
            period: string;
            raise: components["schemas"]["Raise"][];
            stand: components["schemas"]["Stand"][];
            water: components["schemas"]["WaterSaid"][];
        };
        GrowthPeriod: {
            high: number;
            low: number;
            mm_per_year: number;
            period: string;
        };
        GrowthReading: {
            date: string;
            instrument: string;
            mm: number;
            note?: string;
        };
        GrowthRow: {
            beside: components["schemas"]["Beside"][];
            class?: string;
            earlier: components["schemas"]["GrowthPeriod"][];
            eye: string;
            high: number | null;
            low: number | null;
            mm_per_year: number | null;
            percentile: number | null;
            percentile_of?: string;
            period?: string;
            readings: components["schemas"]["GrowthReading"][];
            why?: string;
        };
        HandOverRequest: {
            to: string;
        };
        Hazard: {
            about?: string[];
            by?: string;
            cause: string;
            controls: components["schemas"]["Control"][];
            harm: string;
            hazard: string;
            id: string;
            left?: string;
            merged?: string[];
            probability: number;
            severity: number;
            situation: string;
            status: string;
            why?: string;
        };
        Head: {
            code: string;
            family: string;
            id: string;
            name: string;
        };
        Health: {
            backup: boolean;
            clock_step_seconds: number;
            /** Format: date-time */
            now: string;
            ok: boolean;
            oldest_outbox_minutes: number;
            outbox: boolean;
            push: boolean;
            rehearsal?: boolean;
            state: string;
            store: boolean;
            tick: boolean;
            troubles: string[];
            unreadable: number;
        };
        HeldToday: {
            code: string;
            left: components["schemas"]["EyeReading"];
            lenses_in?: components["schemas"]["LensIn"][];
            name: string;
            phones?: components["schemas"]["Phone"][];
            review_by: string;
            right: components["schemas"]["EyeReading"];
            /** @enum {string} */
            wear: "rest" | "stop";
            wearer: string;
        };
        Hours: {
            from: string;
            to: string;
            weekday: number;
        };
        Invitation: {
            code: string;
            /** Format: date-time */
            expires: string;
            url: string;
        };
        InvitationList: {
            invitations: components["schemas"]["InvitationView"][];
        };
        InvitationView: {
            /** Format: date-time */
            created: string;
            /** Format: date-time */
            expires: string;
            id: string;
            name: string;
            person: string;
        };
        InviteRequest: {
            person: string;
        };
        JoinReply: {
            device: string;
            family: string;
            person: string;
        };
        JoinRequest: {
            code: string;
            consent: string;
            device_name: string;
            language?: string;
        };
        KeptEntry: {
            body: {
                told: components["schemas"]["Marks"];
            };
            id: string;
            kind: string;
            night: string;
        };
        KeptFamily: {
            family: string;
            last: string;
            until: string;
        };
        LastClosing: {
            /** Format: date-time */
            at: string;
            by: string;
            eye: string;
            outcome: string;
            title: string;
        };
        LastContact: {
            by?: string;
            how: string;
            on: string;
            outcome?: string;
        };
        LeavingList: {
            leaving: components["schemas"]["LeavingRow"][];
        };
        LeavingRow: {
            /** Format: date-time */
            at: string;
            by: string;
            family: string;
            name: string;
            /** Format: date-time */
            until: string;
            wearers: string[];
        };
        Lens: {
            axis?: number;
            base_curve_mm?: number;
            by: string;
            cylinder?: number;
            design: string;
            design_note?: string;
            diameter_mm?: number;
            dispensed: string;
            ended: string;
            /** @enum {string} */
            eye: "right" | "left";
            fenestrated?: boolean;
            id: string;
            label?: string;
            lot?: string;
            material?: string;
            note?: string;
            ordered: string;
            power?: number;
            received: string;
            serial?: string;
            spare?: boolean;
            version: number;
            why?: string;
        };
        LensIn: {
            at?: string;
            entry: string;
            /** @enum {string} */
            eye: "right" | "left";
            held: string;
            night: string;
            on?: string;
            told: boolean;
        };
        LensList: {
            home: components["schemas"]["Lens"][];
            lenses: components["schemas"]["LensRow"][];
            today: string;
            wearer: components["schemas"]["Head"];
        };
        LensParameters: {
            base_curve_mm: number | null;
            design: string;
            diameter_mm: number | null;
            power: number | null;
            supplied: string;
        };
        LensReply: {
            lens: components["schemas"]["Lens"];
        };
        LensRequest: {
            axis?: number;
            base: number;
            base_curve_mm?: number;
            by: string;
            cylinder?: number;
            design: string;
            design_note?: string;
            diameter_mm?: number;
            dispensed: string;
            ended: string;
            /** @enum {string} */
            eye: "right" | "left";
            fenestrated?: boolean;
            id: string;
            label?: string;
            lot?: string;
            material?: string;
            note?: string;
            ordered: string;
            power?: number;
            received: string;
            serial?: string;
            spare?: boolean;
            sure?: boolean;
            version: number;
            why?: string;
        };
        LensRow: {
            axis?: number;
            base_curve_mm?: number;
            by: string;
            cylinder?: number;
            design: string;
            design_note?: string;
            diameter_mm?: number;
            dispensed: string;
            ended: string;
            /** @enum {string} */
            eye: "right" | "left";
            fenestrated?: boolean;
            id: string;
            label?: string;
            lot?: string;
            material?: string;
            note?: string;
            ordered: string;
            power?: number;
            received: string;
            serial?: string;
            spare?: boolean;
            /** @enum {string} */
            state: "planned" | "ordered" | "received" | "home" | "ended";
            version: number;
            why?: string;
        };
        Lift: {
            by: string;
            from: string;
            of: components["schemas"]["Lifted"][];
        };
        Lifted: {
            on: string;
            why: string;
        };
        LoadRow: {
            ack: components["schemas"]["Wait"];
            call: components["schemas"]["Wait"];
            decision: components["schemas"]["Wait"];
            level: string;
            opened: components["schemas"]["Few"];
            per_100_wearer_years: number | null;
            unacknowledged: components["schemas"]["Few"];
        };
        Log: {
            areas: components["schemas"]["Area"][];
            probability: string[];
            scores: string;
            severity: string[];
        };
        MarkOfReview: {
            mark: string;
        };
        Marks: {
            Given: boolean;
            Left: string;
            Right: string;
            Table: number;
        };
        Member: Record<string, never>;
        MorningRow: {
            comfort: number | null;
            drops: boolean | null;
            moved?: string;
            night: string;
            redness: number | null;
        };
        Move: {
            by: string;
            date: string;
            on: string;
            time?: string;
            why: string;
        };
        MuteRequest: {
            off: string[];
        };
        Named: {
            key: string;
            title: string;
        };
        NewAttachment: {
            data: string;
            eye?: string;
            type: string;
            visit: string;
            what: string;
        };
        NewFamily: {
            language: string;
            name: string;
            people: components["schemas"]["PersonForm"][];
            second: components["schemas"]["CareContact"];
            wearer: components["schemas"]["WearerForm"];
            zone: string;
        };
        NewRehearsal: {
            backup: string;
            note: string;
            worked: boolean;
        };
        NewStaff: {
            mail: string;
            name: string;
            phone: string;
            /** @enum {string} */
            role: "clinician" | "desk" | "administrator";
        };
        NewsView: {
            /** Format: date-time */
            at: string;
            device: string;
            id: string;
            /** @enum {string} */
            kind: "device" | "withdrawn" | "agreed";
            person: string;
        };
        NightRow: {
            /** @enum {string} */
            counted: "worn" | "short" | "missed" | "not-logged" | "differ";
            differs: boolean;
            eye?: string;
            /** @enum {string} */
            held?: "stop" | "rest";
            hours: number | null;
            in?: string;
            late_hours: number | null;
            left_in: boolean;
            memory: boolean;
            min_hours: number;
            night: string;
            out?: string;
            planned?: boolean;
            reason?: string;
            slept_minutes: number | null;
            /** @enum {string} */
            status: "worn" | "short" | "missed" | "not-logged" | "differ";
            stopped?: string[];
            symptoms: boolean;
            zone?: string;
        };
        Nights: {
            from: string;
            to: string;
        };
        NotSet: {
            invite: boolean;
            text: string;
            what: string;
        };
        NoteRow: {
            by: string;
            entry: string;
            night: string;
            text: string;
        };
        OldPhone: {
            device: string;
            family: string;
            /** Format: date-time */
            last_seen: string;
            name: string;
            person: string;
            rules: number;
        };
        OldPhones: {
            phones: components["schemas"]["OldPhone"][];
            pressed: number;
            version: number;
        };
        OnDutyNow: {
            name: string;
            phone: string;
            role: string;
        };
        OnRota: {
            id: string;
            name: string;
            phone: string;
            role: string;
        };
        OrderRow: {
            families: number;
            rank: number;
            rule: string;
            title: string;
            why: string;
        };
        Outcome: {
            disease: boolean;
            event: boolean;
            key: string;
            seen: boolean;
            title: string;
        };
        Outlook: {
            after_one: number;
            after_two: number;
            clear_high: number;
            clear_low: number;
            night: string;
            status: string;
        };
        OverdueVisits: {
            from: number;
            wearers: number;
        };
        Own: {
            every: components["schemas"]["Clocks"];
            free: components["schemas"]["Clocks"];
            free_nights: number[];
            holidays: components["schemas"]["Nights"][];
            quiet?: components["schemas"]["QuietHours"];
        };
        OwnDevice: {
            /** Format: date-time */
            created: string;
            id: string;
            /** Format: date-time */
            last_seen: string;
            may_drop: boolean;
            name: string;
            person: string;
            this: boolean;
        };
        OwnLanguage: {
            language: string;
        };
        ParentRequest: {
            name: string;
        };
        Parsed: Record<string, never>;
        Part: {
            faults: string;
            licence: string;
            part: string;
            risk: string;
            version?: string;
            why: string;
        };
        PasskeyList: {
            passkeys: components["schemas"]["PasskeyView"][];
        };
        PasskeyRequest: {
            credential: unknown;
            name: string;
        };
        PasskeyView: {
            /** Format: date-time */
            created: string;
            id: string;
            /** Format: date-time */
            last_used?: string;
            name: string;
        };
        Pause: {
            from: string;
            reason: string;
            to: string;
        };
        PauseRow: {
            agreed: boolean;
            by?: string;
            entry?: string;
            from: string;
            reason: string;
            to: string;
        };
        PersonChange: {
            name: string;
            phone: string;
        };
        PersonForm: {
            name: string;
            phone: string;
            role: string;
            wearer?: string;
        };
        PersonView: {
            id: string;
            mute?: string[];
            name: string;
            role: string;
            wearer?: string;
        };
        Phone: {
            name: string;
            phone: string;
        };
        Place: {
            address: string;
            hours: string;
            name: string;
        };
        Plan: {
            acuity_every_days: number;
            care_system: string;
            case_months: number;
            deposit_removal_days: number;
            evening_sight_at: string;
            eyes: string;
            first_night: string;
            from: string;
            holder_months: number;
            insertion_at: string;
            lens_months: number;
            lock_screen_words: string;
            min_hours: number;
            off: string[];
            own?: components["schemas"]["Own"];
            parent_after_minutes: number;
            pauses: components["schemas"]["Pause"][];
            quiet_from: string;
            quiet_to: string;
            recalls: components["schemas"]["RecallStep"][];
            recalls_from: string;
            remind_first: string;
            removal_at: string;
            soak_minutes: number;
            stopped: string;
            taken_over?: string;
            version: number;
            wear_from: string;
            wear_to: string;
            zone: string;
        };
        PlanDoc: {
            acuity_every_days: number;
            base?: number;
            baseline_left: number;
            baseline_right: number;
            care_items?: string[];
            care_system: string;
            case_months: number;
            /** Format: date-time */
            changed_at?: string;
            changed_by?: string;
            deposit_removal_days: number;
            evening_sight_at: string;
            eyes: string;
            first_night: string;
            from: string;
            holder_months: number;
            insertion_at: string;
            left?: components["schemas"]["LensParameters"];
            lens_months: number;
            lock_screen_words: string;
            min_hours: number;
            off: string[];
            own?: components["schemas"]["Own"];
            parent_after_minutes: number;
            pauses: components["schemas"]["Pause"][];
            quiet_from: string;
            quiet_to: string;
            /** Format: date-time */
            read_at?: string;
            recalls: components["schemas"]["RecallStep"][];
            recalls_from: string;
            remark?: string;
            remind_first: string;
            removal_at: string;
            right?: components["schemas"]["LensParameters"];
            soak_minutes: number;
            stopped: string;
            sure?: boolean;
            taken_over?: string;
            version: number;
            wear_from: string;
            wear_to: string;
            why?: string;
            yes?: string;
            zone: string;
        };
        PlanFacts: {
            acuity_every_days: number;
            baseline_left: number;
            baseline_right: number;
            care_items?: string[];
            care_system: string;
            case_months: number;
            deposit_removal_days: number;
            evening_sight_at: string;
            eyes: string;
            first_night: string;
            from: string;
            holder_months: number;
            insertion_at: string;
            lens_months: number;
            lock_screen_words: string;
            min_hours: number;
            off: string[];
            own?: components["schemas"]["Own"];
            parent_after_minutes: number;
            pauses: components["schemas"]["Pause"][];
            quiet_from: string;
            quiet_to: string;
            recalls: components["schemas"]["RecallStep"][];
            recalls_from: string;
            remind_first: string;
            removal_at: string;
            soak_minutes: number;
            stopped: string;
            taken_over?: string;
            version: number;
            wear_from: string;
            wear_to: string;
            zone: string;
        };
        PlanList: {
            birth?: string;
            plans: components["schemas"]["PlanDoc"][];
            usual: components["schemas"]["PlanDoc"];
            wear: components["schemas"]["Wear"];
            wearer: components["schemas"]["WearerHead"];
        };
        PlanReply: {
            plan: components["schemas"]["PlanDoc"];
        };
        Point: {
            basis: string;
            evidence: string;
            rule: string;
            text: string;
        };
        Policy: {
            deputy_minutes: number;
            everyone_minutes: number;
            lapse_minutes: number;
            repeat_minutes: number;
            still_open_minutes: number;
            unshown_minutes: number;
        };
        Practice: {
            contacts: components["schemas"]["Contacts"];
            country?: string;
            languages: string[];
            monthly_drill?: boolean;
            name: string;
            owner_mail?: string;
            parents_invite?: boolean;
            per_session?: number;
            private_from?: number;
            unwatched?: boolean;
            visit_minutes?: number;
            zone: string;
        };
        PracticeFigures: {
            adverse: components["schemas"]["AdverseRow"][];
            alerts: components["schemas"]["LoadRow"][];
            all_care: components["schemas"]["Share"];
            beside: string[];
            continuing: components["schemas"]["SurvivalRow"][];
            events: components["schemas"]["EventRate"];
            from: string;
            nights: components["schemas"]["Counts"];
            notes: string[];
            recalls: components["schemas"]["Share"];
            rung: components["schemas"]["RungRow"][];
            stopped: components["schemas"]["Few"];
            to: string;
            wear: components["schemas"]["Share"];
            wearers: components["schemas"]["Few"];
            years: number;
        };
        PracticeHead: {
            country: string;
            languages: string[];
            name: string;
            phone: string;
            zone: string;
        };
        Privacy: {
            authority: string;
            contact: string;
            controller: string;
            own: {
                [key: string]: string;
            };
            revision: number;
        };
        PrivacyReply: {
            authority: string;
            contact: string;
            controller: string;
            own: {
                [key: string]: string;
            };
            revision: number;
            shown: components["schemas"]["ConsentText"];
        };
        PrivateRequest: {
            id: string;
            text: string;
        };
        PrivateWord: {
            /** Format: date-time */
            at: string;
            by: string;
            id: string;
            text: string;
        };
        PrivateWords: {
            words: components["schemas"]["PrivateWord"][];
        };
        Purpose: {
            for: string;
            incident: string;
            is_not: string[];
            limits: string[];
            questions: components["schemas"]["Question"][];
            setting: string[];
            users: string[];
        };
        Question: {
            ask: string;
            read: string;
        };
        QuietHours: {
            from: string;
            to: string;
        };
        Raise: {
            danger: boolean;
            rules: string[];
            text: string;
            title: string;
        };
        RawReport: {
            /** Format: date-time */
            at: string;
            text: string;
        };
        Reach: {
            /** Format: date-time */
            arrived?: string;
            name: string;
            /** Format: date-time */
            sent?: string;
        };
        Reader: {
            /** Format: date-time */
            at: string;
            /** @enum {string} */
            did: "read" | "changed" | "exported";
            name: string;
            role: string;
            times: number;
        };
        ReaderList: {
            readers: components["schemas"]["Reader"][];
        };
        Reading: {
            left: components["schemas"]["EyeReading"];
            right: components["schemas"]["EyeReading"];
            words: string[];
            yes: string;
        };
        Reason: {
            basis: string;
            evidence: string;
            rank: number;
            rule: string;
            since: string;
            text: string;
            title: string;
            words?: components["schemas"]["FamilyWords"][];
        };
        Recall: {
            date: string;
            due: string;
            from: string;
            kind: string;
            overdue: number;
            passed: boolean;
            state: string;
            to: string;
            visit: string;
            within_hours: number;
        };
        RecallCounts: {
            all: number;
            booked: number;
            due: number;
            missed: number;
            overdue: number;
        };
        RecallList: {
            counts: components["schemas"]["RecallCounts"];
            date: string;
            page: number;
            pages: number;
            recalls: components["schemas"]["RecallRow"][];
            total: number;
        };
        RecallRow: {
            code: string;
            date: string;
            due: string;
            family: string;
            kind: string;
            last_contact: components["schemas"]["LastContact"] | null;
            last_heard: string;
            name: string;
            new_lens: boolean;
            overdue: number;
            state: string;
            time: string;
            visit: string;
            wearer: string;
            within_hours: number;
        };
        RecallStep: {
            days: number;
            every_months: number;
            kind: string;
            months: number;
        };
        RecallView: {
            date: string;
            due: string;
            from: string;
            kind: string;
            overdue: number;
            passed: boolean;
            state: string;
            time?: string;
            to: string;
            visit: string;
            within_hours: number;
        };
        Receipt: {
            event: string;
            tag: string;
        };
        Refraction: {
            axis?: number;
            cylinder?: number;
            sphere: number;
        };
        Rehearsal: {
            /** Format: date-time */
            at: string;
            backup: string;
            by: string;
            note: string;
            worked: boolean;
        };
        RehearsalsReply: {
            rehearsals: components["schemas"]["Rehearsal"][];
        };
        RemindersRequest: {
            lock_screen_words: string;
            off: string[];
            own?: components["schemas"]["Own"];
            parent_after_minutes: number | null;
            remind_first: string;
            wearer: string;
        };
        Reply: {
            alerts: components["schemas"]["FamilyAlert"][];
            changes: unknown[];
            checksum: string;
            cursor: number;
            epoch: string;
            more: boolean;
            /** Format: date-time */
            now: string;
            verdicts: components["schemas"]["Verdict"][];
            watermark: number;
        };
        Reporter: {
            contact?: string;
            name: string;
            practice?: string;
            role?: string;
        };
        Request: {
            cursor: number;
            entries: unknown[];
            epoch: string;
            now?: string;
            schema?: number;
            sum?: string;
        };
        RetentionReply: {
            audit_due: number;
            audit_years: number;
            due: components["schemas"]["KeptFamily"][];
            held: number;
            held_due: number;
            held_years: number;
            until_age: number;
            years: number;
        };
        ReviewClosing: {
            /** Format: date-time */
            at: string;
            by: string;
            decision?: string;
            lenses?: components["schemas"]["EyeSaid"][];
            minutes: number | null;
            note?: string;
            outcome: string;
            where?: string;
        };
        ReviewRuleRow: {
            level: string;
            rule: string;
            title: string;
        };
        Ring: {
            /** Format: date-time */
            At: string;
            Name: string;
        };
        Rota: {
            dates: components["schemas"]["Duty"][];
            holidays: string[];
            off: components["schemas"]["Absence"][];
            slots: components["schemas"]["Slot"][];
            swaps: components["schemas"]["Swap"][];
            zone: string;
        };
        Rule: {
            audit_years: number;
            held_years: number;
            until_age: number;
            years: number;
        };
        RuleList: {
            approved: components["schemas"]["Approval"];
            rules: components["schemas"]["ClinicRuleRow"][];
            version: number;
        };
        RungRow: {
            name: string;
            nights: number;
            rings: number;
        };
        SafetyReply: {
            contact: string;
            log: components["schemas"]["Log"];
            parts: components["schemas"]["Part"][];
            purpose: components["schemas"]["Purpose"];
        };
        SayRequest: {
            causes: string[];
            cleared?: string;
            entries: components["schemas"]["Draft"][];
            known?: string[];
            lens?: string;
            sure?: boolean;
            yes?: string;
        };
        Saying: {
            causes: string[];
            cleared?: string;
            entries: components["schemas"]["Draft"][];
            yes?: string;
        };
        SessionList: {
            sessions: components["schemas"]["SessionView"][];
        };
        SessionView: {
            /** Format: date-time */
            created: string;
            /** Format: date-time */
            expires: string;
            id: string;
            name: string;
            /** Format: date-time */
            seen: string;
            this: boolean;
        };
        Setting: {
            default: number;
            label: string;
            max: number;
            min: number;
            name: string;
            source?: string;
            unit: string;
            why: string;
        };
        Settings: {
            policy: components["schemas"]["Policy"];
            practice: components["schemas"]["Practice"];
            revision: string;
            rota: components["schemas"]["Rota"];
            rule_settings: {
                [key: string]: number;
            };
        };
        SettingsReply: {
            countries: string[];
            gaps: components["schemas"]["Gap"][];
            limits: components["schemas"]["Setting"][];
            not_set: components["schemas"]["NotSet"][];
            owner_test: components["schemas"]["Reach"];
            policy: components["schemas"]["Policy"];
            practice: components["schemas"]["Practice"];
            revision: string;
            rota: components["schemas"]["Rota"];
            rule_settings: {
                [key: string]: number;
            };
            setup: components["schemas"]["Step"][];
        };
        SettingsRequest: {
            policy: components["schemas"]["Policy"];
            practice: components["schemas"]["Practice"];
            revision: string;
            rota: components["schemas"]["Rota"];
            rule_settings: {
                [key: string]: number;
            };
            sure?: boolean;
        };
        Share: {
            bound_high: number;
            bound_low: number;
            done: number;
            high: number;
            low: number;
            not_done: number;
            rest: number;
            share: number;
            unknown: number;
        };
        SightRow: {
            differs: boolean;
            halos?: string;
            hours: number | null;
            night: string;
            rating: number;
            spectacles: boolean | null;
        };
        SignInRequest: {
            code: string;
        };
        Slot: {
            deputy: string;
            from: string;
            person: string;
            since?: string;
            to: string;
            weekday: number;
        };
        SpectaclesRequest: {
            ending: string;
            note?: string;
            on: string;
        };
        Spread: {
            high: number;
            low: number;
            max: number;
            median: number;
            min: number;
            n: number;
        };
        StaffChange: {
            /** Format: date-time */
            at: string;
            by: string;
            /** Format: date-time */
            from: string;
            id: string;
            /** @enum {string} */
            kind: "added" | "linked" | "role" | "passkey" | "mail";
            may: boolean;
            name: string;
            role: string;
            waits: boolean;
        };
        StaffLink: {
            /** Format: date-time */
            expires: string;
            /** Format: date-time */
            from: string;
            id: string;
            url: string;
        };
        StaffList: {
            staff: components["schemas"]["StaffMember"][];
        };
        StaffMember: {
            devices: components["schemas"]["Reach"][];
            gone: boolean;
            id: string;
            mail: string;
            mail_test: components["schemas"]["Reach"];
            name: string;
            passkeys: number;
            phone: string;
            role: string;
            sessions: number;
        };
        StaffView: {
            id: string;
            name: string;
            role: string;
        };
        Stand: {
            by: string;
            eye: string;
            lifted: components["schemas"]["Lift"] | null;
            review_by: string;
            since: string;
            state: string;
            until: string;
            why: string;
        };
        Step: {
            invite: boolean;
            name: string;
            open: string[];
            page: string;
            why: string;
        };
        Stretch: {
            hours: number;
            nights: number;
            wear: components["schemas"]["Share"];
        };
        Subscription: {
            auth: string;
            endpoint: string;
            p256dh: string;
        };
        Summary: {
            acuity: components["schemas"]["AcuityRow"][];
            age: number;
            alert_rates: components["schemas"]["AlertRate"][];
            alerts: components["schemas"]["AlertFact"][];
            all_care: components["schemas"]["Share"];
            bedtime: components["schemas"]["Bedtime"];
            cannot_tell: string[];
            care: components["schemas"]["CareRow"][];
            changes: components["schemas"]["Change"][];
            consent_withdrawn?: boolean;
            counts: components["schemas"]["Counts"];
            course: number;
            effect: components["schemas"]["EffectRow"][];
            ends: components["schemas"]["EndOfWear"] | null;
            from: string;
            glance: components["schemas"]["Glance"];
            growth: components["schemas"]["GrowthRow"][];
            hours: components["schemas"]["Spread"];
            last_visit: components["schemas"]["Visit"] | null;
            mark: string;
            mornings: components["schemas"]["MorningRow"][];
            next_visit: components["schemas"]["Visit"] | null;
            nights: components["schemas"]["NightRow"][];
            notes: components["schemas"]["NoteRow"][];
            overdue: string;
            pauses: components["schemas"]["PauseRow"][];
            phones?: components["schemas"]["Phone"][];
            plan: components["schemas"]["PlanFacts"] | null;
            points: components["schemas"]["Point"][];
            rules: components["schemas"]["ReviewRuleRow"][];
            sight: components["schemas"]["SightRow"][];
            supplies: components["schemas"]["SupplyRow"][];
            symptoms: components["schemas"]["SymptomRow"][];
            timeline: components["schemas"]["Event"][];
            to: string;
            today: string;
            trust: components["schemas"]["Trust"];
            wear: components["schemas"]["Share"];
            wearer: components["schemas"]["Wearer"];
            weekdays: components["schemas"]["WeekdayRow"][];
            words: components["schemas"]["FamilyWords"][];
        };
        SupplyRow: {
            action: string;
            discard_after_days?: number;
            due: string;
            entry: string;
            eye?: string;
            item: string;
            label?: string;
            on: string;
        };
        SurvivalRow: {
            at_risk: number;
            months: number;
            se: number;
            share: number;
        };
        Swap: {
            in: string;
            on: string;
            out: string;
        };
        SwapAsk: {
            /** Format: date-time */
            at: string;
            back?: string;
            by: string;
            id: string;
            on: string;
            with: string;
        };
        SwapRequest: {
            back?: string;
            on: string;
            sure?: boolean;
            with: string;
        };
        SymptomRow: {
            /** Format: date-time */
            at: string;
            /** Format: date-time */
            began?: string;
            entry: string;
            follows?: boolean;
            ill?: string;
            left?: {
                [key: string]: string;
            };
            night: string;
            note?: string;
            right?: {
                [key: string]: string;
            };
            words: string;
        };
        Tested: {
            devices: number;
            shown: string | null;
            silent: boolean;
        };
        TodayReply: {
            beside: {
                [key: string]: components["schemas"]["CallBeside"];
            };
            calls: components["schemas"]["CallList"];
            date: string;
            duty: components["schemas"]["DutyLine"];
            held: components["schemas"]["HeldToday"][];
            overdue: components["schemas"]["OverdueVisits"];
            page: number;
            pages: number;
            total: number;
            visits: components["schemas"]["VisitToday"][];
        };
        TrialPush: {
            device: string;
            why: string;
        };
        TrialPushReply: {
            sent: components["schemas"]["TrialPush"][];
        };
        Trouble: {
            Degree: number;
            Text: string;
            What: string;
        };
        Trust: {
            batches: components["schemas"]["Batch"][];
            clock_notes: components["schemas"]["ClockNote"][];
            corrections: number;
            differ: number;
            entries: number;
            handed_in: number;
            late_median_hours: number;
            late_nights: number;
            late_written: number;
            retractions: number;
            unlogged: components["schemas"]["Share"];
            words: string[];
        };
        Verdict: {
            code?: string;
            field?: string;
            id: string;
            message?: string;
            verdict: string;
        };
        Visit: {
            advice?: string;
            by?: string;
            cycloplegia?: string;
            date: string;
            due: string;
            id: string;
            instrument?: string;
            kind: string;
            left: components["schemas"]["EyeFindings"];
            moves?: components["schemas"]["Move"][];
            note?: string;
            rev?: number;
            right: components["schemas"]["EyeFindings"];
            scale?: string;
            shift_later: boolean;
            state: string;
            time?: string;
        };
        VisitList: {
            due: components["schemas"]["DueVisit"][];
            visits: components["schemas"]["Visit"][];
        };
        VisitReply: {
            visit: components["schemas"]["Visit"];
        };
        VisitRequest: {
            advice?: string;
            by?: string;
            cycloplegia?: string;
            date: string;
            due: string;
            id: string;
            instrument?: string;
            kind: string;
            left: components["schemas"]["EyeFindings"];
            moves?: components["schemas"]["Move"][];
            note?: string;
            rev?: number;
            right: components["schemas"]["EyeFindings"];
            scale?: string;
            shift_later: boolean;
            state: string;
            sure?: boolean;
            time?: string;
            why?: string;
        };
        VisitToday: {
            code: string;
            name: string;
            time: string;
            visit: components["schemas"]["Visit"];
            wearer: string;
        };
        Wait: {
            each: number[];
            median: number | null;
            p90: number | null;
        };
        Waiting: {
            emergencies: number;
            open: number;
        };
        WashOut: {
            days: number;
            done: boolean;
            due: string[];
            eyes: components["schemas"]["WashOutEye"][];
            word: string;
        };
        WashOutCheck: {
            d: number;
            date: string;
            days: number;
            from_baseline: number | null;
        };
        WashOutEye: {
            baseline_d: number;
            checks: components["schemas"]["WashOutCheck"][];
            eye: string;
            steady: boolean;
            word: string;
        };
        WaterSaid: {
            /** @enum {string} */
            answer: "yes" | "no";
            on: string;
        };
        Wear: {
            left: components["schemas"]["EyeWear"];
            right: components["schemas"]["EyeWear"];
        };
        WearReader: {
            /** Format: date-time */
            at: string;
            name: string;
            person: string;
        };
        WearReceipt: {
            of: number;
            phones: string[];
            read: components["schemas"]["WearReader"][];
        };
        WearView: {
            booked?: string;
            causes: string[];
            claims: components["schemas"]["Claim"][];
            consent_withdrawn?: boolean;
            diseases: components["schemas"]["Disease"][];
            entries: unknown[];
            evening: string;
            /** Format: date-time */
            incomplete_since?: string;
            lens_on: string[];
            lenses_in: components["schemas"]["EpisodeLog"][];
            name: string;
            night: string;
            old_phones: number;
            reachable: number;
            receipts: {
                [key: string]: components["schemas"]["WearReceipt"];
            };
            review_by?: string;
            unread: components["schemas"]["FamilyWords"][];
            wear: components["schemas"]["Wear"];
            wearer: string;
        };
        Wearer: {
            birth?: string;
            code: string;
            family: string;
            id: string;
            name: string;
            reminders?: components["schemas"]["Choices"];
        };
        WearerForm: {
            birth: string;
            code: string;
            name: string;
            sure?: boolean;
        };
        WearerHead: {
            code: string;
            family?: string;
            id: string;
            name: string;
        };
        WearerPage: {
            page: number;
            pages: number;
            total: number;
            wearers: components["schemas"]["WearerRow"][];
        };
        WearerRow: {
            age: number;
            /** @enum {string} */
            alert: "" | "emergency" | "urgent" | "routine" | "note";
            answered: number;
            birth?: string;
            code: string;
            ends: components["schemas"]["EndOfWear"] | null;
            family: string;
            family_name: string;
            first_night: string;
            id: string;
            last_heard: string;
            lenses_in?: components["schemas"]["LensIn"][];
            name: string;
            next_recall: string;
            no_stop: boolean;
            overdue: boolean;
            review_by: string;
            stopped: boolean;
            strip: string;
            wear: string;
            worn: number;
        };
        WearerView: {
            ended_by?: string;
            id: string;
            name: string;
            outlook: components["schemas"]["Outlook"] | null;
            plan: components["schemas"]["Plan"] | null;
            recalls: components["schemas"]["RecallView"][];
            reminders: components["schemas"]["Choices"];
        };
        WeekdayRow: {
            day: string;
            wear: components["schemas"]["Share"];
        };
        Whereabouts: {
            country: string;
            languages: string[];
            revision: string;
            zone: string;
        };
        WordsRequest: {
            read: string[];
        };
    };
    responses: never;
    parameters: never;
    requestBodies: never;
    headers: never;
    pathItems: never;
}
export type $defs = Record<string, never>;
export type operations = Record<string, never>;
