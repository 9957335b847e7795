/** Holds the ends of the scale where they are, or lets them follow the picture again. */
import { useState } from "preact/hooks";
import type { AutoRange } from "../draw/auto-range.ts";
import { words } from "../text/words.ts";
import { Icon } from "./icon.tsx";

export function ScaleLock({ range }: { readonly range: AutoRange }) {
	const [, setToggled] = useState(0);

	function toggle(): void {
		range.locked = !range.locked;
		setToggled((count) => count + 1);
	}

	return (
		<button
			type="button"
			class="button button-quiet button-small"
			aria-pressed={range.locked}
			aria-label={words.picture.lockLabel}
			onClick={toggle}
		>
			<Icon name="lock" />
			{range.locked ? words.picture.locked : words.picture.lock}
		</button>
	);
}
