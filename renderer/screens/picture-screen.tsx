/** For whoever studies the pictures themselves: how they are computed, how strongly smoothed, and what else would show. */
import { useEffect, useMemo, useState } from "preact/hooks";
import type { PictureGeometry, RequestArgument, StrengthChoice } from "../../app/contract.ts";
import { fineSteps, stepAtLeast } from "../draw/auto-range.ts";
import { logInterpolated } from "../draw/line-chart.ts";
import { magnitudeBelow } from "../draw/magnitude.ts";
import { rangeFloor } from "../draw/picture-view.ts";
import { Choice } from "../parts/choice.tsx";
import { SelectField } from "../parts/field.tsx";
import { Legend } from "../parts/legend.tsx";
import { useAppState, useModel, useSubscription } from "../parts/model-context.ts";
import { FaultNote, LoadingNote } from "../parts/notes.tsx";
import { StillPicture } from "../parts/still-picture.tsx";
import { StrengthChart } from "../parts/strength-chart.tsx";
import { useAction, useLoaded } from "../parts/use-request.ts";
import { useTrials } from "../parts/use-trials.ts";
import { formatChange } from "../text/quantity.ts";
import { strengthWords } from "../text/sight-words.ts";
import { words } from "../text/words.ts";

type Settings = RequestArgument<"setPrior">;
const rules = ["noise-figure", "gcv", "l-curve"] as const;
/** Share of nodes that may lie beyond the ends of the scale, as on the live screen. */
const BEYOND = 0.01;

export function PictureScreen() {
	const { feed } = useModel();
	useSubscription(feed.onGeometry);
	const { followsRest } = useAppState();
	const setPrior = useAction("setPrior");
	const setFollowing = useAction("setRestFollowing");
	const { geometry } = feed;
	/** Chosen, while the picture by it is being prepared. */
	const [wished, setWished] = useState<Settings | null>(null);
	useEffect(() => setWished(null), [geometry?.geometryId, setPrior.fault]);
	return (
		<>
			<header class="screen-head">
				<div>
					<h1>{strengthWords.title}</h1>
					<p class="lead">{strengthWords.lead}</p>
				</div>
			</header>
			{setPrior.fault !== null && <FaultNote fault={setPrior.fault} />}
			{setFollowing.fault !== null && <FaultNote fault={setFollowing.fault} />}
			{geometry === null ? (
				<LoadingNote text={strengthWords.noPicture} />
			) : (
				<Settings
					geometry={geometry}
					wished={wished}
					onSettings={(settings) => {
						setWished(settings);
						void setPrior.run(settings);
					}}
				/>
			)}
			<section class="panel form-section" aria-label={strengthWords.drift}>
				<Choice
					label={strengthWords.drift}
					isLabelShown
					options={[
						{ value: false, text: strengthWords.drifts.no },
						{ value: true, text: strengthWords.drifts.yes },
					]}
					value={followsRest}
					onChoose={(isOn) => void setFollowing.run({ isOn })}
				/>
				<p class="field-hint">{strengthWords.driftText}</p>
			</section>
		</>
	);
}

function Settings({
	geometry,
	wished,
	onSettings,
}: {
	readonly geometry: PictureGeometry;
	readonly wished: Settings | null;
	readonly onSettings: (settings: Settings) => void;
}) {
	const settings = wished ?? {
		prior: geometry.prior,
		rule: geometry.rule,
		lambdaByHand: geometry.lambdaByHand,
		allowsMovement: geometry.allowsMovement,
	};
	const { prior, rule, allowsMovement } = settings;
	const strength = useLoaded("getStrength", null, `strength of ${geometry.geometryId}`);
	return (
		<>
			<section class="panel form-section" aria-label={words.about.rule}>
				<h2>{words.about.rule}</h2>
				<div class="form-grid">
					<SelectField
						label={words.about.prior}
						value={prior}
						options={(["diagonal", "laplace"] as const).map((value) => ({
							value,
							text: words.about.priors[value],
						}))}
						onChoose={(value) => onSettings({ ...settings, prior: value })}
					/>
					<SelectField
						label={words.about.ruleLabel}
						value={rule}
						options={rules.map((value) => ({ value, text: words.about.rules[value] }))}
						onChoose={(value) => onSettings({ ...settings, rule: value, lambdaByHand: null })}
					/>
					<Choice
						label={strengthWords.movement}
						isLabelShown
						options={[
							{ value: false, text: strengthWords.movements.no },
							{ value: true, text: strengthWords.movements.yes },
						]}
						value={allowsMovement === true}
						onChoose={(value) => onSettings({ ...settings, allowsMovement: value })}
					/>
				</div>
				<p class="field-hint">{strengthWords.movementText}</p>
			</section>
			{strength.state === "failed" && <FaultNote fault={strength.fault} />}
			{strength.state === "ready" && (
				<Strength
					choice={strength.value}
					isBusy={wished !== null}
					onUse={(lambda) => onSettings({ ...settings, lambdaByHand: lambda })}
				/>
			)}
		</>
	);
}

function Strength({
	choice,
	isBusy,
	onUse,
}: {
	readonly choice: StrengthChoice;
	readonly isBusy: boolean;
	/** Null: the rule's. */
	readonly onUse: (lambda: number | null) => void;
}) {
	const { curve, lambda } = choice;
	const [by, setBy] = useState<StrengthChoice["rule"]>(choice.rule);
	const [tried, setTried] = useState(lambda);
	// Another rule or rest has another strength: what was tried before was beside the old one.
	useEffect(() => {
		setTried(lambda);
		setBy(choice.rule);
	}, [lambda, choice.rule]);
	const low = Math.log10(curve.lambda[0]!);
	const high = Math.log10(curve.lambda.at(-1)!);
	const facts = (at: number) =>
		strengthWords.facts(at.toPrecision(3), logInterpolated(curve.lambda, curve.noiseFigure, at).toFixed(2));
	return (
		<>
			<section class="panel form-section" aria-label={strengthWords.strength}>
				<div class="panel-line">
					<h2>{strengthWords.strength}</h2>
					<Choice
						label={strengthWords.curve}
						options={rules.map((value) => ({ value, text: strengthWords.curves[value] }))}
						value={by}
						onChoose={setBy}
					/>
				</div>
				<p class="lead">{strengthWords.strengthText}</p>
				<div class="strength">
					<div>
						<StrengthChart choice={choice} by={by} tried={tried} onTry={setTried} />
						<label class="strength-slider">
							<span class="field-label">{strengthWords.try}</span>
							<input
								type="range"
								min={low}
								max={high}
								step={0.02}
								value={Math.log10(tried)}
								aria-valuetext={facts(tried)}
								onInput={(event) => setTried(10 ** Number(event.currentTarget.value))}
							/>
						</label>
					</div>
					<div class="strength-facts">
						<p class="field-hint">{strengthWords.curveTexts[by]}</p>
						{by !== "noise-figure" && <p class="field-hint">{strengthWords.expected}</p>}
						<dl class="facts">
							<dt>{strengthWords.inUse}</dt>
							<dd>
								{strengthWords.facts(lambda.toPrecision(3), choice.noiseFigure.toFixed(2))}
								<br />
								{choice.lambdaByHand === null
									? strengthWords.byRule(words.about.rules[choice.rule].toLowerCase())
									: strengthWords.byHand}
							</dd>
							<dt>{strengthWords.tried}</dt>
							<dd>{facts(tried)}</dd>
							{rules.map((rule) => (
								<RuleChoice key={rule} rule={rule} lambda={choice.choices[rule]} onTry={setTried} />
							))}
						</dl>
						<div class="strength-buttons">
							<button
								type="button"
								class="button button-primary"
								disabled={isBusy || Math.abs(Math.log(tried / lambda)) < 1e-6}
								onClick={() => onUse(Number(tried.toPrecision(4)))}
							>
								{strengthWords.use}
							</button>
							<button
								type="button"
								class="button"
								disabled={isBusy || choice.lambdaByHand === null}
								onClick={() => onUse(null)}
							>
								{strengthWords.putBack}
							</button>
							<button
								type="button"
								class="button button-quiet"
								disabled={tried === lambda}
								onClick={() => setTried(lambda)}
							>
								{strengthWords.reset}
							</button>
						</div>
						<p class="field-hint">{strengthWords.stored}</p>
					</div>
				</div>
			</section>
			<SideBySide choice={choice} tried={tried} facts={facts} />
		</>
	);
}

function RuleChoice({
	rule,
	lambda,
	onTry,
}: {
	readonly rule: StrengthChoice["rule"];
	readonly lambda: number;
	readonly onTry: (lambda: number) => void;
}) {
	return (
		<>
			<dt>{words.about.rules[rule]}</dt>
			<dd>
				<button type="button" class="button button-quiet button-small" onClick={() => onTry(lambda)}>
					λ = {lambda.toPrecision(3)}
				</button>
			</dd>
		</>
	);
}

function SideBySide({
	choice,
	tried,
	facts,
}: {
	readonly choice: StrengthChoice;
	readonly tried: number;
	readonly facts: (lambda: number) => string;
}) {
	const [isHeld, setHeld] = useState(false);
	const { trial, fault } = useTrials(tried, isHeld);
	const id = trial?.geometryId ?? choice.geometryId;
	const geometry = useLoaded("getGeometry", { geometryId: id }, `geometry ${id}`);
	const shown = useMemo(
		() =>
			trial && {
				inUse: Float32Array.from(trial.inUse.nodeValues),
				tried: Float32Array.from(trial.tried.nodeValues),
			},
		[trial],
	);
	const unit = trial?.unit ?? "S/m";
	const peak =
		shown === null ? 0 : Math.max(magnitudeBelow(shown.inUse, BEYOND), magnitudeBelow(shown.tried, BEYOND));
	const floor = geometry.state === "ready" ? rangeFloor(geometry.value) : peak;
	const range = peak > 0 ? stepAtLeast(Math.max(floor, peak), fineSteps) : floor;
	return (
		<section class="panel form-section" aria-label={strengthWords.picturesTitle}>
			<div class="panel-line">
				<h2>{strengthWords.picturesTitle}</h2>
				<button
					type="button"
					class="button button-small"
					aria-pressed={isHeld}
					onClick={() => setHeld(!isHeld)}
				>
					{isHeld ? strengthWords.holdOff : strengthWords.hold}
				</button>
			</div>
			<p class="lead">{strengthWords.picturesText}</p>
			{fault !== null && <FaultNote fault={fault} />}
			{trial !== null && shown !== null && geometry.state === "ready" && (
				<div class="side-by-side">
					{(["inUse", "tried"] as const).map((which) => (
						<figure key={which}>
							<figcaption>
								<strong>{strengthWords[which]}</strong>{" "}
								<span>{facts(which === "inUse" ? choice.lambda : tried)}</span>
							</figcaption>
							{geometry.value.nodes.length === 2 * shown[which].length && (
								<StillPicture
									geometry={geometry.value}
									values={shown[which]}
									range={range}
									label={strengthWords.pictureCanvas(strengthWords[which].toLowerCase())}
								/>
							)}
							<table class="session-table sight-table">
								<tbody>
									{trial.regions.map(({ id: regionId, name }, i) => (
										<tr key={regionId}>
											<th scope="row">{name}</th>
											<td class="number figures">
												{formatChange(trial[which].regionMeans[i] ?? null, unit, { digits: 1 })}
											</td>
										</tr>
									))}
								</tbody>
							</table>
						</figure>
					))}
					<Legend scale="change" range={range} unit={unit} isFlat />
				</div>
			)}
		</section>
	);
}
