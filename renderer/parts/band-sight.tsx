/** What the band that is being set up can see of the thigh: computed anew as the measures change. */
import { useMemo, useRef, useState } from "preact/hooks";
import type { BandStudy, RequestArgument } from "../../app/contract.ts";
import { createColourRamp } from "../draw/colour-ramp.ts";
import type { ReadSetUp } from "../set-up-form.ts";
import { formatQuantity } from "../text/quantity.ts";
import { sightWords } from "../text/sight-words.ts";
import { Choice } from "./choice.tsx";
import { FatEffect } from "./fat-effect.tsx";
import { MeritCharts } from "./merit-charts.tsx";
import { useAppState, useModel, useSubscription } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { StillPicture } from "./still-picture.tsx";
import { useSeen, useStudy } from "./use-study.ts";

type Towards = RequestArgument<"studyBand">["towards"];
const directions = ["front", "outer", "back", "inner"] as const satisfies readonly Towards[];

/** Decades that the map's scale shows. */
const DECADES = 3;

export function BandSight({ read }: { readonly read: ReadSetUp | null }) {
	const { feed } = useModel();
	useSubscription(feed.onGeometry);
	const state = useAppState();
	const [towards, setTowards] = useState<Towards>("front");
	const section = useRef<HTMLElement>(null);
	const isSeen = useSeen(section);
	const subject = read === null || !isSeen ? null : { limb: read.argument.limb, band: read.argument.band };
	// Another rest has another noise, and another setting of pictures sees otherwise.
	const { geometry } = feed;
	const key = `${state.baseline?.takenAt} ${geometry?.prior} ${geometry?.lambda} ${geometry?.allowsMovement}`;
	const study = useStudy("studyBand", subject && { ...subject, towards }, key);
	return (
		<section ref={section} class="panel form-section band-sight" aria-label={sightWords.title}>
			<div class="panel-line">
				<h2>{sightWords.title}</h2>
				<Choice
					label={sightWords.towards}
					isLabelShown
					options={directions.map((value) => ({ value, text: sightWords.directions[value] }))}
					value={towards}
					onChoose={setTowards}
				/>
			</div>
			<p class="lead">
				{sightWords.lead}
				{(read?.argument.places?.length ?? 1) > 1 && ` ${sightWords.leadOfMany}`}
			</p>
			<p class="sight-progress" role="status">
				{study.isBusy && <progress aria-label={sightWords.working} />}
				{study.isBusy ? (study.value === null ? sightWords.working : sightWords.stale) : ""}
				{study.value === null && !study.isBusy && study.fault === null ? sightWords.waiting : ""}
			</p>
			{study.fault !== null && <FaultNote fault={study.fault} />}
			{study.value !== null && (
				<div class={study.isBusy ? "sight sight-stale" : "sight"}>
					<MeritCharts study={study.value} />
					<SensitivityMap study={study.value} />
					<RegionVerdicts study={study.value} />
					<FatEffect subject={subject} />
				</div>
			)}
		</section>
	);
}

function SensitivityMap({ study }: { readonly study: BandStudy }) {
	const { geometry, values } = study.map;
	// From the strongest at the scale's end to a thousandth of it at its beginning.
	const shown = useMemo(
		() => Float32Array.from(values, (value) => Math.max(0, (DECADES + value) / DECADES)),
		[values],
	);
	const ramp = useMemo(() => createColourRamp("size"), []);
	const steps = Array.from({ length: 12 }, (_, i) => ramp.at(i / 11));
	return (
		<figure class="sight-map">
			<figcaption>
				<h3>{sightWords.map}</h3>
				<p class="field-hint">{sightWords.mapText}</p>
			</figcaption>
			<StillPicture geometry={geometry} values={shown} range={1} scale="size" label={sightWords.mapCanvas} />
			<div class="sight-scale">
				<svg viewBox="0 0 120 10" preserveAspectRatio="none" aria-hidden="true">
					{steps.map((colour, i) => (
						<rect key={colour} x={i * 10} y={0} width={10.5} height={10} fill={colour} />
					))}
				</svg>
				<span>{sightWords.mapEnds.low}</span>
				<span>1/100</span>
				<span>1/10</span>
				<span>{sightWords.mapEnds.high}</span>
			</div>
		</figure>
	);
}

function RegionVerdicts({ study }: { readonly study: BandStudy }) {
	return (
		<div class="sight-regions">
			<h3>{sightWords.regions}</h3>
			<table class="session-table sight-table">
				<thead>
					<tr>
						<th scope="col">{sightWords.region}</th>
						<th scope="col">{sightWords.verdict}</th>
						<th scope="col" class="number">
							{sightWords.shown}
						</th>
						<th scope="col" class="number">
							{sightWords.leak}
						</th>
						{study.knowsNoise && (
							<th scope="col" class="number">
								{sightWords.noise}
							</th>
						)}
					</tr>
				</thead>
				<tbody>
					{study.regions.map((region) => (
						<tr key={region.id}>
							<th scope="row">{region.name}</th>
							<td>
								<span class={`grade grade-${region.grade}`}>{sightWords.grades[region.grade]}</span>
								{region.trouble !== null && (
									<span class="field-hint grade-reason">{sightWords.troubles[region.trouble]}</span>
								)}
							</td>
							<td class="number figures">{formatQuantity(100 * region.share, 0, "%")}</td>
							<td class="number figures">
								{region.leak === null ? "–" : formatQuantity(100 * region.leak, 0, "%")}
							</td>
							{study.knowsNoise && (
								<td class="number figures">
									{region.signalToNoise === null ? "–" : `${formatQuantity(region.signalToNoise, 0, "×")}`}
								</td>
							)}
						</tr>
					))}
				</tbody>
			</table>
			<p class="field-hint">{sightWords.rule}</p>
			{!study.knowsNoise && <p class="field-hint">{sightWords.noNoise}</p>}
		</div>
	);
}
