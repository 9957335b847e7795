import { useState } from "preact/hooks";
import { cautions } from "../../core/safety/cautions.ts";
import { CautionsDialog, CautionsText } from "../parts/cautions-dialog.tsx";
import { DemoSection } from "../parts/demo-section.tsx";
import { Icon } from "../parts/icon.tsx";
import { useAppState, useModel, useSubscription } from "../parts/model-context.ts";
import { hashOf } from "../route.ts";
import { formatCount, formatQuantity } from "../text/quantity.ts";
import { strengthWords } from "../text/sight-words.ts";
import { words } from "../text/words.ts";

export function AboutScreen() {
	const state = useAppState();
	const { latencies } = useModel();
	const [isAsking, setAsking] = useState(false);
	const isAcknowledged = state.cautions.acknowledged && state.cautions.version === cautions.version;
	return (
		<>
			<header class="screen-head">
				<div>
					<h1>{words.about.title}</h1>
					<p class="lead">{words.about.what}</p>
				</div>
			</header>
			<div class="about">
				<section class="panel form-section" aria-label={words.about.cautions}>
					<div class="panel-line">
						<h2>{words.about.cautions}</h2>
						{isAcknowledged ? (
							<span class="tag">
								<Icon name="check" /> {words.cautions.done}
							</span>
						) : (
							<button type="button" class="button button-primary" onClick={() => setAsking(true)}>
								{words.connect.readCautions}
							</button>
						)}
					</div>
					<CautionsText />
				</section>
				<div class="about-side">
					<section class="panel form-section" aria-label={words.about.cannotTitle}>
						<h2>{words.about.cannotTitle}</h2>
						<ul class="plain-list">
							{words.about.cannot.map((sentence) => (
								<li key={sentence}>{sentence}</li>
							))}
						</ul>
					</section>
					<DemoSection />
					<PictureRule />
					<section class="panel form-section" aria-label={words.about.version}>
						<dl class="facts">
							<dt>{words.about.version}</dt>
							<dd>{state.appVersion}</dd>
							<dt>{words.about.dataFolder}</dt>
							<dd class="path">{state.dataFolder}</dd>
							<dt>{words.about.latency}</dt>
							<dd>
								{latencies.count === 0
									? words.about.latencyNone
									: words.about.latencyText(
											formatQuantity(latencies.quantile(0.5), 0, "ms"),
											formatQuantity(latencies.quantile(0.99), 0, "ms"),
											formatCount(latencies.recent().length),
										)}
							</dd>
						</dl>
					</section>
				</div>
			</div>
			{isAsking && <CautionsDialog onClose={() => setAsking(false)} />}
		</>
	);
}

/** How the picture is computed; what may be chosen about it has a place of its own. */
function PictureRule() {
	const { feed } = useModel();
	useSubscription(feed.onGeometry);
	const { geometry } = feed;
	return (
		<section class="panel form-section" aria-label={words.about.rule}>
			<h2>{words.about.rule}</h2>
			{geometry !== null && (
				<p class="field-hint">
					{words.about.pictureFacts(
						words.about.priors[geometry.prior],
						geometry.lambdaByHand === null ? words.about.rules[geometry.rule] : strengthWords.byHand,
						geometry.lambda.toPrecision(3),
						geometry.noiseFigure.toFixed(2),
					)}
				</p>
			)}
			<p>
				{strengthWords.linkText} <a href={hashOf({ screen: "picture" })}>{strengthWords.link}</a>
			</p>
		</section>
	);
}
