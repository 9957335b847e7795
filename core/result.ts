/** The world's faults travel as data: `ok` decides which of the two a caller holds. */
export type Result<T, E> =
	| { readonly ok: true; readonly value: T }
	| { readonly ok: false; readonly error: E };

export function success<T>(value: T): { readonly ok: true; readonly value: T } {
	return { ok: true, value };
}

export function failure<E>(error: E): { readonly ok: false; readonly error: E } {
	return { ok: false, error };
}
