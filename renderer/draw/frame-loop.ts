/**
 * One animation frame for everything that is drawn. Changes mark a drawer as dirty and ask for a frame; any number of
 * asks gives one frame, and with nothing dirty there are no frames at all.
 */
export interface Drawer {
	/** Draws now. @returns true when it has to be called again at the next frame, such as when it was too early. */
	draw(nowMilliseconds: number): boolean;
}

export interface FrameLoop {
	add(drawer: Drawer): FrameHandle;
}

export interface FrameHandle {
	ask(): void;
	/** Safe twice. */
	dispose(): void;
}

/** `requestFrame` is `requestAnimationFrame`, or a test's own. */
export function createFrameLoop(
	requestFrame: (callback: (nowMilliseconds: number) => void) => void,
): FrameLoop {
	const slots: { readonly drawer: Drawer; isDirty: boolean }[] = [];
	let asked = false;

	function frame(now: number): void {
		asked = false;
		for (let i = 0; i < slots.length; i++) {
			const slot = slots[i]!;
			if (!slot.isDirty) continue;
			// Cleared first: what changes while drawing is for the next frame.
			slot.isDirty = false;
			if (slot.drawer.draw(now)) mark(slot);
		}
	}

	function mark(slot: { isDirty: boolean }): void {
		slot.isDirty = true;
		if (asked) return;
		asked = true;
		requestFrame(frame);
	}

	return {
		add(drawer) {
			const slot = { drawer, isDirty: false };
			slots.push(slot);
			return {
				ask: () => mark(slot),
				dispose() {
					slot.isDirty = false;
					const at = slots.indexOf(slot);
					if (at >= 0) slots.splice(at, 1);
				},
			};
		},
	};
}
