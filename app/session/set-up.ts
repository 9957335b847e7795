import { failure, type Result, success } from "../../core/result.ts";
import { cautions } from "../../core/safety/cautions.ts";
import {
	type Fault,
	type Person,
	type RequestArgument,
	type RequestName,
	requestSchemas,
} from "../contract.ts";
import { inventedBand, inventedLimb } from "../link/simulated/invented-person.ts";
import type { Store } from "../store/store.ts";
import { impossibleSetUp } from "./possible-set-up.ts";

export type LimbAndBand = Omit<RequestArgument<"setUp">, "personId">;
export type PictureSettings = RequestArgument<"setPrior">;

/** Who is measured, with what, and how pictures are made; kept from one start to the next. */
export interface SetUp {
	readonly person: Person | null;
	/** What was entered; before that, what fits the simulated band. */
	readonly limbAndBand: LimbAndBand;
	readonly pictureSettings: PictureSettings;
	readonly isAcknowledged: boolean;
	/** Whether rest baselines follow slow drift. */
	readonly followsRest: boolean;
	/** Limb and band for a stream of so many electrodes; null when what was entered is for another number. */
	forElectrodes(electrodeCount: number): LimbAndBand | null;
	change(next: RequestArgument<"setUp">): Result<null, Fault>;
	changePictureSettings(next: PictureSettings): Result<null, Fault>;
	changeRestFollowing(next: RequestArgument<"setRestFollowing">): Result<null, Fault>;
	acknowledge(version: number): Result<null, Fault>;
	/** Reads the person again: a new name, one more session. */
	refreshPerson(): void;
	/** That person's record is being removed: lets go of it and of the limb's measurements.
	 *  @returns whether it was the one that is set up. */
	forgetPerson(personId: number): Result<boolean, Fault>;
}

const SIMULATED_ELECTRODES = 16;
const defaultSettings: PictureSettings = { prior: "diagonal", rule: "noise-figure" };

/** `store` is null when it could not be opened: everything then holds until the app ends. */
export function createSetUp(store: Store | null): SetUp {
	const restored = restore(store, "setUp");
	let entered = restored === null || impossibleSetUp(restored) !== null ? null : restored;
	let pictureSettings = restore(store, "setPrior") ?? defaultSettings;
	let followsRest = restore(store, "setRestFollowing")?.isOn ?? true;
	let acknowledgedVersion = restore(store, "acknowledgeCautions")?.version ?? 0;
	let person = findPerson(store, entered?.personId ?? null);

	function save<K extends RequestName>(name: K, value: RequestArgument<K>): Result<null, Fault> {
		return store === null ? success(null) : store.saveSetting(name, value);
	}

	return {
		get person() {
			return person;
		},
		get limbAndBand() {
			return entered ?? { limb: inventedLimb, band: inventedBand(SIMULATED_ELECTRODES) };
		},
		get pictureSettings() {
			return pictureSettings;
		},
		get isAcknowledged() {
			return acknowledgedVersion >= cautions.version;
		},
		get followsRest() {
			return followsRest;
		},
		forElectrodes(electrodeCount) {
			if (entered === null) return { limb: inventedLimb, band: inventedBand(electrodeCount) };
			return entered.band.electrodeCount === electrodeCount ? entered : null;
		},
		change(next) {
			const found = findPerson(store, next.personId);
			if (next.personId !== null && found === null) {
				return failure({ kind: "no-such-record", what: "person", id: next.personId });
			}
			const impossible = impossibleSetUp(next);
			if (impossible !== null) return failure(impossible);
			// measures are part of a person's record from when they are entered, not only once they are recorded with
			const limb = next.personId === null ? null : (store?.saveLimb(next.personId, next.limb) ?? null);
			if (limb !== null && !limb.ok) return limb;
			const saved = save("setUp", next);
			if (!saved.ok) return saved;
			entered = next;
			person = found;
			return success(null);
		},
		changePictureSettings(next) {
			const saved = save("setPrior", next);
			if (saved.ok) pictureSettings = next;
			return saved;
		},
		changeRestFollowing(next) {
			const saved = save("setRestFollowing", next);
			if (saved.ok) followsRest = next.isOn;
			return saved;
		},
		acknowledge(version) {
			if (version !== cautions.version) {
				return failure({
					kind: "invalid-argument",
					path: "version",
					expected: `${cautions.version}, the version that was shown`,
					got: String(version),
				});
			}
			const saved = save("acknowledgeCautions", { version });
			if (saved.ok) acknowledgedVersion = version;
			return saved;
		},
		refreshPerson() {
			person = findPerson(store, entered?.personId ?? null);
		},
		forgetPerson(personId) {
			if (entered?.personId !== personId) return success(false);
			entered = null;
			person = null;
			const saved = store?.saveSetting("setUp", null) ?? success(null);
			return saved.ok ? success(true) : saved;
		},
	};
}

/** What a request saved, under the request's own name and checked by its own schema: a setting of an older version that
 *  no longer fits counts as never entered. */
function restore<K extends RequestName>(store: Store | null, name: K): RequestArgument<K> | null {
	const stored = store?.setting(name);
	if (stored === undefined || !stored.ok) return null;
	const parsed = requestSchemas[name].safeParse(stored.value);
	return parsed.success ? (parsed.data as RequestArgument<K>) : null;
}

function findPerson(store: Store | null, personId: number | null): Person | null {
	if (store === null || personId === null) return null;
	const people = store.listPeople(true);
	return people.ok ? (people.value.find(({ id }) => id === personId) ?? null) : null;
}
