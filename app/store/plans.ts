/** Plans of exercises with every version they ever had. A person has one at a time; an ended one is followed by another. */
import type { Database } from "better-sqlite3";
import {
	createPlan,
	endPlan,
	hasEnded,
	type Plan,
	type PlanDraft,
	planSchema,
	revisePlan,
} from "../../core/exercise/plan.ts";
import type { InvalidInput } from "../../core/invalid-input.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import { toRfc3339 } from "./date-time.ts";
import { jsonOf } from "./json-column.ts";
import { DamagedRecordError } from "./store-fault.ts";

export interface StoredPlan {
	readonly id: number;
	readonly plan: Plan;
}

export interface PlanRecords {
	/** Of one person, oldest first. */
	all(personId: number): readonly StoredPlan[];
	newest(personId: number): StoredPlan | null;
	/** The first that has not ended by today, for one that follows it may be there already; else the newest. */
	present(personId: number): StoredPlan | null;
	save(personId: number, draft: PlanDraft): Result<Plan, Fault>;
	end(personId: number, endedOn: string): Result<Plan, Fault>;
	/** Stores a plan as it is, with all its versions. @returns its id. */
	add(personId: number, plan: Plan): number;
}

interface VersionRow {
	readonly version: number;
	readonly from_day: string;
	readonly items: string;
	readonly schedule: string;
	readonly reason: string;
}

export function preparePlans(db: Database, now: () => number): PlanRecords {
	const plansOf = db.prepare<[number], { id: number; ended_on: string | null }>(
		"SELECT id, ended_on FROM plans WHERE person_id = ? ORDER BY id",
	);
	const versionsOf = db.prepare<[number], VersionRow>(
		"SELECT version, from_day, items, schedule, reason FROM plan_versions WHERE plan_id = ? ORDER BY version",
	);
	const insertPlan = db.prepare("INSERT INTO plans (person_id, ended_on, created_ms) VALUES (?, ?, ?)");
	const setEnd = db.prepare("UPDATE plans SET ended_on = ? WHERE id = ?");
	const insertVersion = db.prepare(`
		INSERT INTO plan_versions (plan_id, version, from_day, items, schedule, reason, saved_ms)
		VALUES (?, ?, ?, ?, ?, ?, ?)`);

	function planOf({ id, ended_on }: { id: number; ended_on: string | null }): StoredPlan {
		const what = `plan ${id}`;
		const versions = versionsOf.all(id).map((row) => ({
			version: row.version,
			from: row.from_day,
			items: jsonOf(row.items, what),
			schedule: jsonOf(row.schedule, what),
			reason: row.reason,
		}));
		const plan = planSchema.safeParse({ versions, endedOn: ended_on });
		if (!plan.success) throw new DamagedRecordError(`${what}: ${plan.error.message}`);
		return { id, plan: plan.data };
	}

	function newest(personId: number): StoredPlan | null {
		const row = plansOf.all(personId).at(-1);
		return row === undefined ? null : planOf(row);
	}

	function present(personId: number): StoredPlan | null {
		const all = plansOf.all(personId).map(planOf);
		const today = toRfc3339(now()).slice(0, 10);
		return all.find(({ plan }) => !hasEnded(plan, today)) ?? all.at(-1) ?? null;
	}

	function writeVersions(planId: number, plan: Plan, fromVersion: number): void {
		for (const { version, from, items, schedule, reason } of plan.versions) {
			if (version < fromVersion) continue;
			insertVersion.run(
				planId,
				version,
				from,
				JSON.stringify(items),
				JSON.stringify(schedule),
				reason,
				now(),
			);
		}
	}

	const add = db.transaction((personId: number, plan: Plan): number => {
		const planId = Number(insertPlan.run(personId, plan.endedOn, now()).lastInsertRowid);
		writeVersions(planId, plan, 1);
		return planId;
	});
	const revise = db.transaction((planId: number, plan: Plan): void => {
		writeVersions(planId, plan, plan.versions.length);
		setEnd.run(plan.endedOn, planId);
	});

	return {
		all: (personId) => plansOf.all(personId).map(planOf),
		newest,
		present,
		save(personId, draft) {
			const current = newest(personId);
			if (current === null || hasEnded(current.plan, draft.from)) {
				const created = asArgument(createPlan(draft), "draft");
				if (created.ok) add(personId, created.value);
				return created;
			}
			const revised = asArgument(revisePlan(current.plan, draft), "draft");
			if (revised.ok) revise(current.id, revised.value);
			return revised;
		},
		end(personId, endedOn) {
			const current = newest(personId);
			if (current === null) return failure({ kind: "no-such-record", what: "plan", id: personId });
			const ended = asArgument(endPlan(current.plan, endedOn), "");
			if (ended.ok) setEnd.run(endedOn, current.id);
			return ended;
		},
		add,
	};
}

/** A path within the plan told as one within the request. */
function asArgument(made: Result<Plan, InvalidInput>, under: string): Result<Plan, Fault> {
	if (made.ok) return success(made.value);
	const path = made.error.path.replace(/^versions\[\d+\]/, under);
	return failure({ kind: "invalid-argument", ...made.error, path });
}
