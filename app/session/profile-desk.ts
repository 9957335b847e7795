/** Profiles of boards that print numbers in their own way: those of the program, then own ones by name. */

import { failure, type Result, success } from "../../core/result.ts";
import { type BoardProfile, parseProfile } from "../../core/wire/profile/board-profile.ts";
import { shippedProfiles } from "../../core/wire/profile/shipped-profiles.ts";
import type { Fault, ListedProfile } from "../contract.ts";
import type { Store } from "../store/store.ts";

const setting = "board-profiles";
const mostProfiles = 200;

export interface ProfileDesk {
	list(): Result<readonly ListedProfile[], Fault>;
	/** Own ones only; one of the same name is replaced. */
	save(profile: unknown): Result<BoardProfile, Fault>;
	remove(name: string): Result<null, Fault>;
	find(name: string): Result<BoardProfile, Fault>;
}

/** `store`: null where there is none; the program's own profiles can be used all the same. */
export function createProfileDesk(store: Store | null, storeFault: () => Fault | null): ProfileDesk {
	function own(): Result<readonly BoardProfile[], Fault> {
		if (store === null) return success([]);
		const saved = store.setting(setting);
		if (!saved.ok) return saved;
		if (saved.value === undefined) return success([]);
		const profiles: BoardProfile[] = [];
		for (const one of Array.isArray(saved.value) ? saved.value : [saved.value]) {
			const read = parseProfile(one);
			if (!read.ok) {
				const detail = `board profile: ${read.error.path}: expected ${read.error.expected}, got ${read.error.got}`;
				return failure({ kind: "store-failed", path: store.path, detail });
			}
			profiles.push(read.value);
		}
		return success(profiles);
	}

	function write(profiles: readonly BoardProfile[]): Result<null, Fault> {
		if (store === null) return failure(storeFault() ?? { kind: "internal", detail: "no store" });
		return store.saveSetting(setting, profiles);
	}

	function list(): Result<readonly ListedProfile[], Fault> {
		const added = own();
		if (!added.ok) return added;
		const byName = [...added.value].sort((a, b) => (a.name.toLowerCase() < b.name.toLowerCase() ? -1 : 1));
		return success([
			...shippedProfiles.map((profile) => ({ profile, isShipped: true })),
			...byName.map((profile) => ({ profile, isShipped: false })),
		]);
	}

	return {
		list,
		save(input) {
			const read = parseProfile(input);
			if (!read.ok) return failure({ kind: "invalid-argument", ...read.error });
			const profile = read.value;
			if (shippedProfiles.some(({ name }) => name === profile.name)) {
				const expected = "a name that no profile of the program has";
				return failure({ kind: "invalid-argument", path: "name", expected, got: profile.name });
			}
			const before = own();
			if (!before.ok) return before;
			const others = before.value.filter(({ name }) => name !== profile.name);
			if (others.length >= mostProfiles) {
				const expected = `at most ${mostProfiles} own profiles: delete one first`;
				return failure({ kind: "invalid-argument", path: "name", expected, got: "one more" });
			}
			const written = write([...others, profile]);
			return written.ok ? success(profile) : written;
		},
		remove(name) {
			const before = own();
			if (!before.ok) return before;
			const left = before.value.filter((profile) => profile.name !== name);
			return left.length === before.value.length ? failure(noProfile(name)) : write(left);
		},
		find(name) {
			const all = list();
			if (!all.ok) return all;
			const found = all.value.find(({ profile }) => profile.name === name);
			return found === undefined ? failure(noProfile(name)) : success(found.profile);
		},
	};
}

function noProfile(name: string): Fault {
	return { kind: "invalid-argument", path: "profile", expected: "the name of a board profile", got: name };
}
