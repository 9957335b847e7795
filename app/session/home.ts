/**
 * Home mode: the app is one person's until somebody who knows the PIN ends it; it lasts over restarts. The PIN keeps a
 * patient from changing settings by mistake and one person's records from another. It is no protection from whoever
 * owns the computer: a file named `unlock-home` in the data folder ends home mode and forgets the PIN at the next start.
 */
import { randomBytes, scrypt, timingSafeEqual } from "node:crypto";
import { existsSync, rmSync } from "node:fs";
import { join } from "node:path";
import { z } from "zod";
import { failure, type Result, success } from "../../core/result.ts";
import type { AppState, Fault, Person } from "../contract.ts";
import type { Store } from "../store/store.ts";
import type { Clock } from "./clock.ts";

export interface Home {
	readonly state: AppState["home"];
	/** @param pin what ends it from now on; null keeps what was set before */
	enter(person: Person, pin: StoredPin | null): Result<null, Fault>;
	/** Checks the PIN and ends it. */
	leave(pin: string | null): Promise<Result<null, Fault>>;
}

export interface HomeParts {
	readonly store: Store | null;
	readonly clock: Clock;
	readonly dataFolder: string;
	readonly onChange: () => void;
}

const HOME_KEY = "home";
const PIN_KEY = "homePin";
const TRIES_KEY = "homePinTries";
/** A text editor may add the ending by itself. */
const unlockFiles = ["unlock-home", "unlock-home.txt"] as const;

/** scrypt: C. Percival & S. Josefsson, RFC 7914 (2016); its cost of N = 2¹⁵, r = 8, p = 3 is one of those that the OWASP
 *  Password Storage Cheat Sheet lists (from memory). */
const cost = { N: 2 ** 15, r: 8, p: 3 };
const MOST_MEMORY = 64 * 1024 * 1024;
const KEY_BYTES = 32;
const SALT_BYTES = 16;
/** From so many wrong ones in a row on, each is followed by a wait. */
const FREE_TRIES = 5;
const WAIT_MS = 30_000;

const homeSchema = z.object({ personId: z.int().positive().nullable() });
/** `waitUntilMs`: Unix time; null for no wait. */
const triesSchema = z.object({ wrong: z.int().min(0), waitUntilMs: z.number().nullable() });
const pinSchema = z.object({ salt: z.base64(), key: z.base64(), N: z.int(), r: z.int(), p: z.int() });
/** What is kept of a PIN. */
export type StoredPin = z.infer<typeof pinSchema>;
type Tries = z.infer<typeof triesSchema>;

const noTries: Tries = { wrong: 0, waitUntilMs: null };

export function createHome({ store, clock, dataFolder, onChange }: HomeParts): Home {
	unlockIfAsked();
	let person = personOf(read(HOME_KEY, homeSchema)?.personId ?? null);
	let pin = read(PIN_KEY, pinSchema);
	// kept over restarts, or starting the app anew would be a way round the wait
	let tries = read(TRIES_KEY, triesSchema) ?? noTries;

	function read<T>(key: string, schema: z.ZodType<T>): T | null {
		const stored = store?.setting(key);
		if (stored === undefined || !stored.ok || stored.value === undefined || stored.value === null)
			return null;
		// what an older version kept and this one does not understand counts as never set
		const parsed = schema.safeParse(stored.value);
		return parsed.success ? parsed.data : null;
	}

	function save(key: string, value: unknown): Result<null, Fault> {
		return store === null ? failure({ kind: "internal", detail: "no store" }) : store.saveSetting(key, value);
	}

	/** A person who was deleted from outside has no home any more. */
	function personOf(personId: number | null): Person | null {
		const people = personId === null ? null : (store?.listPeople(true) ?? null);
		if (people === null || !people.ok) return null;
		return people.value.find(({ id }) => id === personId) ?? null;
	}

	function unlockIfAsked(): void {
		const found = unlockFiles.map((name) => join(dataFolder, name)).filter((path) => existsSync(path));
		if (found.length === 0) return;
		const forgotten = [save(HOME_KEY, { personId: null }), save(PIN_KEY, null), save(TRIES_KEY, noTries)];
		// kept while the records refuse, so that the next start tries again
		if (forgotten.every(({ ok }) => ok)) for (const path of found) rmSync(path);
	}

	async function isRight(tried: string, { salt, key, N, r, p }: StoredPin): Promise<boolean> {
		const wanted = Buffer.from(key, "base64");
		const got = await keyOf(tried, Buffer.from(salt, "base64"), { N, r, p });
		return got.length === wanted.length && timingSafeEqual(got, wanted);
	}

	function count(next: Tries): Result<null, Fault> {
		tries = next;
		return save(TRIES_KEY, next);
	}

	function waitSeconds(): number {
		const left = tries.waitUntilMs === null ? 0 : tries.waitUntilMs - clock.now();
		// more than a whole wait: the computer's clock was set back, which must not lock everybody out
		return left > WAIT_MS ? 0 : Math.max(0, left) / 1000;
	}

	return {
		get state() {
			if (person === null) return null;
			return { personId: person.id, displayName: person.displayName, needsPin: pin !== null };
		},
		enter(nextPerson, nextPin) {
			if (nextPin !== null) {
				const saved = save(PIN_KEY, nextPin);
				if (!saved.ok) return saved;
				pin = nextPin;
			}
			const saved = save(HOME_KEY, { personId: nextPerson.id });
			if (!saved.ok) return saved;
			person = nextPerson;
			onChange();
			return success(null);
		},
		async leave(tried) {
			if (pin !== null) {
				if (waitSeconds() > 0) return failure({ kind: "wrong-pin", waitSeconds: waitSeconds() });
				// counted first, so that many at once are no way round the wait
				const wrong = tries.wrong + 1;
				const counted = count({ wrong, waitUntilMs: wrong >= FREE_TRIES ? clock.now() + WAIT_MS : null });
				if (!counted.ok) return counted;
				if (tried === null || !(await isRight(tried, pin))) {
					return failure({ kind: "wrong-pin", waitSeconds: waitSeconds() });
				}
				const forgiven = count(noTries);
				if (!forgiven.ok) return forgiven;
			}
			const saved = save(HOME_KEY, { personId: null });
			if (!saved.ok) return saved;
			person = null;
			onChange();
			return success(null);
		},
	};
}

/** Takes a good part of a second, as it should. */
export async function sealPin(pin: string): Promise<StoredPin> {
	const salt = randomBytes(SALT_BYTES);
	const key = await keyOf(pin, salt, cost);
	return { salt: salt.toString("base64"), key: key.toString("base64"), ...cost };
}

function keyOf(pin: string, salt: Buffer, { N, r, p }: typeof cost): Promise<Buffer> {
	return new Promise((resolve, reject) => {
		scrypt(pin, salt, KEY_BYTES, { N, r, p, maxmem: MOST_MEMORY }, (error, key) =>
			error === null ? resolve(key) : reject(error),
		);
	});
}
