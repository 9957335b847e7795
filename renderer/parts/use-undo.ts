import { useRef, useState } from "preact/hooks";

export interface Undoable<T> {
	readonly value: T;
	readonly canUndo: boolean;
	/** Changes with one key in a row are undone together, such as letters of one field. */
	change(next: T, key?: string | undefined): void;
	undo(): void;
}

const mostSteps = 200;

/** A value with the ones before it. */
export function useUndo<T>(create: () => T): Undoable<T> {
	const [value, setValue] = useState(create);
	const before = useRef<T[]>([]);
	const lastKey = useRef<string | undefined>(undefined);
	return {
		value,
		canUndo: before.current.length > 0,
		change(next, key) {
			if (Object.is(next, value)) return;
			if (key === undefined || key !== lastKey.current || before.current.length === 0) {
				before.current.push(value);
				if (before.current.length > mostSteps) before.current.shift();
			}
			lastKey.current = key;
			setValue(next);
		},
		undo() {
			const last = before.current.pop();
			lastKey.current = undefined;
			if (last !== undefined) setValue(last);
		},
	};
}
