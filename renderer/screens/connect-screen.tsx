import { useState } from "preact/hooks";
import type { AppState, ScenarioName, SourceChoice } from "../../app/contract.ts";
import { BoardFacts } from "../parts/board-facts.tsx";
import { CautionsDialog } from "../parts/cautions-dialog.tsx";
import { CheckOffer } from "../parts/check-offer.tsx";
import { CurrentLimitField } from "../parts/current-limit-field.tsx";
import { SelectField, TextField } from "../parts/field.tsx";
import { Icon } from "../parts/icon.tsx";
import { useAppState } from "../parts/model-context.ts";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { OtherBoards } from "../parts/other-boards.tsx";
import { useAction, useLoaded } from "../parts/use-request.ts";
import { parseNumber } from "../set-up-form.ts";
import { demoWords } from "../text/demo-words.ts";
import { linkWords, scenarioWords, transportWords, words } from "../text/words.ts";

export function ConnectScreen() {
	const state = useAppState();
	const connect = useAction("connect");
	return (
		<>
			<header class="screen-head">
				<div>
					<h1>{words.connect.title}</h1>
				</div>
			</header>
			<div class="connect">
				<NowSection state={state} />
				<div class="connect-choices">
					<RealBand state={state} isBusy={connect.isBusy} onConnect={(source) => void connect.run(source)} />
					<SimulatedBand
						source={state.source}
						isBusy={connect.isBusy}
						onConnect={(source) => void connect.run(source)}
					/>
				</div>
				<OtherBoards state={state} />
				{connect.fault !== null && <FaultNote fault={connect.fault} onDismiss={connect.clearFault} />}
			</div>
		</>
	);
}

function NowSection({ state }: { readonly state: AppState }) {
	const disconnect = useAction("disconnect");
	const { link } = state;
	return (
		<section class="panel form-section" aria-label={words.connect.now}>
			<div class="panel-line">
				<div>
					<h2>{words.connect.now}</h2>
					<p class="link-words" role="status">
						{linkWords(link)}
					</p>
				</div>
				{link.state !== "idle" && (
					<button
						type="button"
						class="button"
						disabled={disconnect.isBusy}
						onClick={() => void disconnect.run(null)}
					>
						{words.connect.disconnect}
					</button>
				)}
			</div>
			{(link.state === "failed" || link.state === "reconnecting") && <FaultNote fault={link.fault} />}
			{disconnect.fault !== null && <FaultNote fault={disconnect.fault} />}
			<CheckOffer />
			{state.board === null ? (
				<p class="lead">{words.connect.noBoard}</p>
			) : (
				<BoardFacts
					board={state.board}
					isStopped={link.state === "stopped"}
					takesCommands={state.source !== null && state.source.kind !== "profile"}
				/>
			)}
			<CurrentLimitField />
		</section>
	);
}

interface ChoiceProps {
	readonly isBusy: boolean;
	readonly onConnect: (source: SourceChoice) => void;
}

const baudRates = [
	9600, 19200, 38400, 57600, 115200, 230400, 460800, 921600, 1_000_000, 2_000_000, 3_000_000,
] as const;
const USUAL_BAUD = 460800;

function RealBand({ state, isBusy, onConnect }: ChoiceProps & { readonly state: AppState }) {
	const [version, setVersion] = useState(0);
	const [baud, setBaud] = useState(String(USUAL_BAUD));
	const [isAsking, setAsking] = useState(false);
	const ports = useLoaded("listPorts", null, `ports ${version}`);
	const isBarred = !state.cautions.acknowledged || state.records.isDemo;
	return (
		<section class="panel form-section" aria-label={words.connect.real}>
			<div class="panel-line">
				<h2>{words.connect.real}</h2>
				<button type="button" class="button button-quiet" onClick={() => setVersion(version + 1)}>
					<Icon name="refresh" />
					{words.connect.refresh}
				</button>
			</div>
			<p class="lead">{words.connect.realText}</p>
			{state.records.isDemo && (
				<p class="note">
					<Icon name="info" />
					{demoWords.realBand}
				</p>
			)}
			{!state.cautions.acknowledged && (
				<div class="note">
					<Icon name="info" />
					<p>{words.connect.needCautions}</p>
					<button type="button" class="button" onClick={() => setAsking(true)}>
						{words.connect.readCautions}
					</button>
				</div>
			)}
			{ports.state === "loading" && <LoadingNote text={words.connect.portsLoading} />}
			{ports.state === "failed" && <FaultNote fault={ports.fault} />}
			{ports.state === "ready" && ports.value.note !== null && (
				<p class="note">
					<Icon name="info" />
					{ports.value.note}
				</p>
			)}
			{ports.state === "ready" && ports.value.ports.length === 0 && (
				<EmptyNote title={words.connect.noPorts} text={words.connect.noPortsText} />
			)}
			{ports.state === "ready" && ports.value.ports.length > 0 && (
				<ul class="port-list" aria-label={words.connect.ports}>
					{ports.value.ports.map((port) => (
						<li key={port.portId} class="port">
							<div>
								<p class="port-name">
									{port.path}
									<span class="tag tag-after">{transportWords[port.transport]}</span>
								</p>
								<p class="panel-sub">{port.description}</p>
							</div>
							<button
								type="button"
								class="button"
								aria-label={`${words.connect.connect} ${port.path}`}
								disabled={isBusy || isBarred}
								onClick={() => onConnect({ kind: "serial", portId: port.portId, baudRate: Number(baud) })}
							>
								{words.connect.connect}
							</button>
						</li>
					))}
				</ul>
			)}
			<SelectField
				label={words.connect.baud}
				hint={words.connect.baudHint}
				value={baud}
				options={baudRates.map((rate) => ({ value: String(rate), text: String(rate) }))}
				onChoose={setBaud}
			/>
			{isAsking && <CautionsDialog onClose={() => setAsking(false)} />}
		</section>
	);
}

function SimulatedBand({
	source,
	isBusy,
	onConnect,
}: ChoiceProps & { readonly source: SourceChoice | null }) {
	const last = source?.kind === "simulated" ? source : null;
	const [scenario, setScenario] = useState<ScenarioName>(last?.scenario ?? "tour");
	const [rate, setRate] = useState(String(last?.framesPerSecond ?? 30));
	const [bands, setBands] = useState(String(last?.bandCount ?? 1));
	const [electrodes, setElectrodes] = useState(String(last?.electrodeCount ?? 16));
	const [seed, setSeed] = useState(String(last?.seed ?? 1));
	const [corrupt, setCorrupt] = useState(String(100 * (last?.corruptShare ?? 0)));
	const [drop, setDrop] = useState(String(100 * (last?.dropShare ?? 0)));
	const fields = {
		rate: within(rate, 1, 60),
		bands: whole(bands, 1, 4),
		electrodes: whole(electrodes, 8, 64),
		seed: whole(seed, 0, 4294967295),
		corrupt: within(corrupt, 0, 50),
		drop: within(drop, 0, 50),
	};
	const isReady = Object.values(fields).every((field) => field.error === null);
	return (
		<section class="panel form-section" aria-label={words.connect.simulated}>
			<h2>{words.connect.simulated}</h2>
			<p class="lead">{words.connect.simulatedText}</p>
			<SelectField
				label={words.connect.scenario}
				value={scenario}
				options={(Object.keys(scenarioWords) as ScenarioName[]).map((name) => ({
					value: name,
					text: scenarioWords[name],
				}))}
				onChoose={setScenario}
			/>
			<div class="form-grid form-grid-narrow">
				<TextField
					label={words.connect.framesPerSecond}
					isNumber
					value={rate}
					onInput={setRate}
					error={fields.rate.error}
				/>
				<TextField
					label={words.connect.bands}
					isNumber
					value={bands}
					onInput={setBands}
					error={fields.bands.error}
				/>
				<TextField
					label={words.connect.electrodes}
					isNumber
					value={electrodes}
					onInput={setElectrodes}
					error={fields.electrodes.error}
				/>
				<TextField
					label={words.connect.seed}
					hint={words.connect.seedHint}
					isNumber
					value={seed}
					onInput={setSeed}
					error={fields.seed.error}
				/>
				<TextField
					label={words.connect.corrupt}
					unit="%"
					isNumber
					value={corrupt}
					onInput={setCorrupt}
					error={fields.corrupt.error}
				/>
				<TextField
					label={words.connect.drop}
					unit="%"
					isNumber
					value={drop}
					onInput={setDrop}
					error={fields.drop.error}
				/>
			</div>
			<div>
				<button
					type="button"
					class="button button-primary"
					disabled={isBusy || !isReady}
					onClick={() =>
						onConnect({
							kind: "simulated",
							scenario,
							seed: fields.seed.value,
							framesPerSecond: fields.rate.value,
							bandCount: fields.bands.value,
							electrodeCount: fields.electrodes.value,
							corruptShare: fields.corrupt.value / 100,
							dropShare: fields.drop.value / 100,
						})
					}
				>
					{words.connect.start}
				</button>
			</div>
		</section>
	);
}

interface NumberRead {
	readonly value: number;
	readonly error: string | null;
}

function within(entered: string, low: number, high: number): NumberRead {
	const value = parseNumber(entered);
	return value === null || value < low || value > high
		? { value: low, error: words.errors.range(low, high) }
		: { value, error: null };
}

function whole(entered: string, low: number, high: number): NumberRead {
	const read = within(entered, low, high);
	return read.error === null && !Number.isInteger(read.value)
		? { value: low, error: words.errors.whole(low, high) }
		: read;
}
