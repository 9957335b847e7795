/** What a screen says when there is nothing, not yet anything, or something went wrong. */
import type { ComponentChildren } from "preact";
import type { RequestFault } from "../bridge.ts";
import { faultWords } from "../text/fault.ts";
import { homeFaultWords } from "../text/home-faults.ts";
import { words } from "../text/words.ts";
import { Icon } from "./icon.tsx";
import { useModel } from "./model-context.ts";

export function FaultNote({
	fault,
	children,
	onDismiss,
}: {
	readonly fault: RequestFault;
	readonly children?: ComponentChildren;
	readonly onDismiss?: () => void;
}) {
	const isAtHome = useModel().state?.home != null;
	const { what, next } = isAtHome ? homeFaultWords(fault) : faultWords(fault);
	return (
		<div class="note note-fault" role="alert">
			<Icon name="caution" />
			<p>
				<strong>{what}</strong> {next}
			</p>
			{children}
			{onDismiss !== undefined && (
				<button type="button" class="button button-quiet" onClick={onDismiss}>
					{words.status.dismiss}
				</button>
			)}
		</div>
	);
}

export function EmptyNote({
	title,
	text,
	children,
}: {
	readonly title: string;
	readonly text: string;
	readonly children?: ComponentChildren;
}) {
	return (
		<div class="empty">
			<h2>{title}</h2>
			<p>{text}</p>
			{children !== undefined && <div class="empty-actions">{children}</div>}
		</div>
	);
}

/** `text` says what is being waited for. */
export function LoadingNote({ text }: { readonly text: string }) {
	return (
		<div class="empty" role="status">
			<p class="loading-text">{text}</p>
		</div>
	);
}
