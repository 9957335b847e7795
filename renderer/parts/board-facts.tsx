import { useState } from "preact/hooks";
import type { BoardState } from "../../app/contract.ts";
import { parseNumber } from "../set-up-form.ts";
import { otherBoardWords } from "../text/profile-words.ts";
import { formatFrequency, formatQuantity } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import { TextField } from "./field.tsx";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

/** What the board says of itself, and what can be asked of it. */
export function BoardFacts({
	board,
	isStopped,
	takesCommands,
}: {
	readonly board: BoardState;
	/** False for a board that is read by a profile: it tells only readings, and the rest is as its profile states. */
	readonly takesCommands: boolean;
	readonly isStopped: boolean;
}) {
	return (
		<>
			<dl class="facts facts-wide">
				<dt>{words.connect.board}</dt>
				<dd>
					{board.board}
					{board.simulated && <span class="tag tag-simulated tag-after">{words.status.simulated}</span>}
				</dd>
				{takesCommands && (
					<>
						<dt>{words.connect.firmware}</dt>
						<dd>{board.firmware}</dd>
						<dt>{words.connect.serial}</dt>
						<dd>{board.serial}</dd>
					</>
				)}
				<dt>{words.connect.bands}</dt>
				<dd>
					{board.bandCount} × {board.electrodeCount}
				</dd>
				<dt>{words.connect.pattern}</dt>
				<dd>{board.pattern}</dd>
				<dt>{words.connect.readings}</dt>
				<dd>{board.readingCount}</dd>
				<dt>{words.connect.current}</dt>
				<dd>
					{formatQuantity(board.currentMilliamp, 2, "mA")}
					<span class="fact-note">
						{words.connect.limit} {formatQuantity(board.currentLimitMilliamp, 2, "mA")}
						{!takesCommands && `, ${otherBoardWords.asStated}`}
					</span>
				</dd>
				<dt>{words.connect.frequency}</dt>
				<dd>{formatFrequency(board.frequencyHertz)}</dd>
				{takesCommands && (
					<>
						<dt>{words.connect.gain}</dt>
						<dd>{formatQuantity(board.gain, board.gain < 10 ? 1 : 0, "×")}</dd>
						<dt>{words.connect.battery}</dt>
						<dd>
							{board.batteryPercent === null
								? words.quality.notKnown
								: formatQuantity(board.batteryPercent, 0, "%")}
						</dd>
					</>
				)}
			</dl>
			{takesCommands && <BoardCommands board={board} isStopped={isStopped} />}
		</>
	);
}

function BoardCommands({ board, isStopped }: { readonly board: BoardState; readonly isStopped: boolean }) {
	const command = useAction("sendCommand");
	const [current, setCurrent] = useState("");
	const [frequency, setFrequency] = useState("");
	const [gain, setGain] = useState("");
	const milliamp = parseNumber(current);
	const kilohertz = parseNumber(frequency);
	const times = parseNumber(gain);
	return (
		<>
			<details class="board-settings">
				<summary>{words.connect.settings}</summary>
				<div class="form-grid form-grid-narrow">
					<Setting
						label={words.connect.current}
						unit="mA"
						value={current}
						onInput={setCurrent}
						isReady={milliamp !== null && milliamp >= 0 && milliamp <= board.currentLimitMilliamp}
						isBusy={command.isBusy}
						onSet={() => void command.run({ command: "set-current", milliamp: milliamp! })}
					/>
					<Setting
						label={words.connect.frequency}
						unit="kHz"
						value={frequency}
						onInput={setFrequency}
						isReady={kilohertz !== null && kilohertz >= 1 && kilohertz <= 1000}
						isBusy={command.isBusy}
						onSet={() => void command.run({ command: "set-frequency", hertz: 1000 * kilohertz! })}
					/>
					<Setting
						label={words.connect.gain}
						unit="×"
						value={gain}
						onInput={setGain}
						isReady={times !== null && times >= 0.01 && times <= 10000}
						isBusy={command.isBusy}
						onSet={() => void command.run({ command: "set-gain", gain: times! })}
					/>
				</div>
			</details>
			<div class="button-row">
				<button
					type="button"
					class="button"
					disabled={command.isBusy}
					onClick={() => void command.run({ command: isStopped ? "start" : "stop" })}
				>
					{isStopped ? words.connect.startStream : words.connect.stopStream}
				</button>
				<button
					type="button"
					class="button"
					disabled={command.isBusy}
					onClick={() => void command.run({ command: "contact-check" })}
				>
					{words.contact.check}
				</button>
			</div>
			{command.fault !== null && <FaultNote fault={command.fault} onDismiss={command.clearFault} />}
		</>
	);
}

function Setting({
	label,
	unit,
	value,
	onInput,
	isReady,
	isBusy,
	onSet,
}: {
	readonly label: string;
	readonly unit: string;
	readonly value: string;
	readonly onInput: (value: string) => void;
	readonly isReady: boolean;
	readonly isBusy: boolean;
	readonly onSet: () => void;
}) {
	return (
		<div class="setting">
			<TextField label={label} unit={unit} isNumber value={value} onInput={onInput} />
			<button
				type="button"
				class="button"
				aria-label={`${words.connect.set} ${label}`}
				disabled={isBusy || !isReady}
				onClick={onSet}
			>
				{words.connect.set}
			</button>
		</div>
	);
}
