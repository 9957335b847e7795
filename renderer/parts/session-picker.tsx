/** Chooses a session to compare, among those of one person. */
import type { SessionSummary } from "../../app/contract.ts";
import { formatDateTime } from "../text/quantity.ts";
import { reviewWords } from "../text/review-words.ts";
import { words } from "../text/words.ts";
import { SelectField } from "./field.tsx";

const NOTHING = "";

export function SessionPicker({
	label,
	sessions,
	value,
	onChoose,
}: {
	readonly label: string;
	readonly sessions: readonly SessionSummary[];
	readonly value: number | null;
	readonly onChoose: (sessionId: number) => void;
}) {
	const options = sessions.map((session) => ({ value: String(session.id), text: sessionWords(session) }));
	const isListed = value !== null && sessions.some(({ id }) => id === value);
	return (
		<SelectField
			label={label}
			value={isListed ? String(value) : NOTHING}
			options={isListed ? options : [{ value: NOTHING, text: reviewWords.compare.chooseOne }, ...options]}
			onChoose={(chosen) => {
				if (chosen !== NOTHING) onChoose(Number(chosen));
			}}
		/>
	);
}

export function sessionWords({ startedAt, side, title }: SessionSummary): string {
	return [formatDateTime(startedAt), side === null ? "" : words.sessions[side], title]
		.filter((part) => part !== "")
		.join(" · ");
}
