import type { ComponentChildren } from "preact";
import { useFirstFocus } from "./use-first-focus.ts";

/** One question at a time. Its words take the focus, so that Tab leads to the first answer and none is given by an
 *  Enter that was meant for the screen before. */
export function Question({
	title,
	takesFocus = true,
	children,
}: {
	readonly title: string;
	/** Not where another one stands before it. */
	readonly takesFocus?: boolean;
	readonly children: ComponentChildren;
}) {
	const heading = useFirstFocus<HTMLHeadingElement>();
	return (
		<section class="question" aria-label={title}>
			<h2 ref={takesFocus ? heading : null} tabIndex={-1}>
				{title}
			</h2>
			{children}
		</section>
	);
}
