/** What a person has to have read before a band may drive current. A change of meaning raises `version`, and with
 *  it everybody is asked again. */
export interface Caution {
	readonly id: string;
	readonly title: string;
	readonly advice: string;
}

export interface Cautions {
	readonly version: number;
	/** What the software is not, shown first. */
	readonly notice: string;
	/** Said above the list. */
	readonly introduction: string;
	readonly items: readonly Caution[];
	/** When to take the band off at once, shown last. */
	readonly stop: string;
}

/**
 * Sources: implanted devices: guidelines warn against bioimpedance here, while a review of six cohorts (531 people,
 * at most 0.8 mA) found no clinically significant interference and does not extend that to consumer wearables
 * (Heart Rhythm O2 6(12), 2025). Skin, thrombosis and epilepsy are topics of Houghton et al., "Electrophysical
 * agents: contraindications and precautions", Physiotherapy Canada 62(5), 2010, which treats stimulation, not
 * sensing. The rest, and all wording, is common practice without a source.
 */
export const cautions: Cautions = {
	version: 1,
	notice:
		"This software shows relative changes in an electrical image. It is not a diagnosis, does not measure strength and does not decide when it is safe to load a limb. Decisions rest with a licensed clinician acting within their scope of practice and under local law and equipment codes.",
	introduction: "Do not use the band in any of these cases unless your clinician has cleared it.",
	items: [
		{
			id: "implanted-device",
			title: "Implanted or body-worn electronic device",
			advice:
				"Pacemaker, defibrillator, nerve stimulator, pump or monitor: do not use without a clinician's clearance.",
		},
		{
			id: "pregnancy",
			title: "Pregnancy",
			advice: "Not at home without a clinician's agreement: there are too few data.",
		},
		{
			id: "skin",
			title: "Skin",
			advice:
				"Place no electrode on broken, infected, irradiated, numb or irritated skin, on a fresh wound, or where adhesive, gel or nickel has caused an allergy.",
		},
		{
			id: "thrombosis",
			title: "Deep vein thrombosis, known or suspected",
			advice: "Do not strap a band on and do not exercise: have it looked at urgently.",
		},
		{
			id: "metal",
			title: "Metal in or on the limb",
			advice:
				"A nail, plate or joint replacement distorts the image: record it with the session. Never let an electrode touch the pins of an external fixator.",
		},
		{
			id: "charging",
			title: "Charging and mains",
			advice:
				"Never wear the band while its unit is charging, or wired to mains-powered equipment unless its isolation is certified.",
		},
		{
			id: "other-equipment",
			title: "Other medical equipment",
			advice: "Take the band off before defibrillation, electrosurgery, MRI or connection to life support.",
		},
		{
			id: "epilepsy",
			title: "Epilepsy",
			advice: "The sensing current does not stimulate, but tell your clinician and have it recorded.",
		},
		{
			id: "acute",
			title: "Acute conditions of the limb",
			advice:
				"Cancer in the limb, a recent graft, acute bleeding or a tense, very painful limb (compartment syndrome): your clinician decides.",
		},
		{
			id: "supervision",
			title: "Children, and people who cannot report discomfort",
			advice: "Use only under supervision.",
		},
	],
	stop: "Stop, take the band off and seek advice if you feel unwell, or feel tingling, heat or pain under an electrode.",
};
