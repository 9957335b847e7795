/** Marks that comparing two measurements is unsafe, each with its reason. */
import { Icon } from "./icon.tsx";

export interface UnsafeMark {
	readonly what: string;
	readonly why: string;
}

export function UnsafeNote({
	title,
	marks,
}: {
	readonly title: string;
	readonly marks: readonly UnsafeMark[];
}) {
	return (
		<div class="note note-fault unsafe-note" role="note">
			<Icon name="caution" />
			<div>
				<p>
					<strong>{title}</strong>
				</p>
				<ul class="unsafe-list">
					{marks.map(({ what, why }) => (
						<li key={what}>
							<strong>{sentenceCase(what)}.</strong> {why}
						</li>
					))}
				</ul>
			</div>
		</div>
	);
}

export function SafeNote({ text }: { readonly text: string }) {
	return (
		<p class="safe-note">
			<Icon name="check" /> {text}
		</p>
	);
}

function sentenceCase(text: string): string {
	return text.charAt(0).toUpperCase() + text.slice(1);
}
