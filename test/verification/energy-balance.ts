import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { createMeshSolver } from "../../core/physics/solve-forward.ts";
import { meshSubject, restSigma } from "../../core/picture/picture-model.ts";
import { limbSubject, type PictureSubject } from "../../core/picture/subject.ts";

export function createThighSubject(): PictureSubject {
	return limbSubject(
		createThigh({
			side: "left",
			outline: { type: "ellipse", a: 0.085, b: 0.08 },
			fatThickness: 0.008,
			level: 0.5,
		}),
		{ electrodeCount: 16, electrodeWidth: 0.02, firstAngle: Math.PI / 2, direction: "clockwise" },
		50_000,
	);
}

/** One ampere from electrode 0 to 5: the voltage between them against ∫σ|∇u|² and ∫(u − U)²/z, relative. */
export function energyMismatch(): number {
	const subject = createThighSubject();
	const mesh = meshSubject(subject);
	const sigma = restSigma(subject, mesh);
	const { nodePotentials, transfer } = createMeshSolver(mesh).solve(sigma, subject.contactImpedance);
	const { nodes, triangles, electrodeEdges, electrodeOfEdge } = mesh;
	const nodeCount = nodes.length / 2;
	const u = (node: number) => nodePotentials[node]! - nodePotentials[5 * nodeCount + node]!;
	const electrode = (m: number) => transfer[m]! - transfer[5 * 16 + m]!;
	let lost = 0;
	for (let k = 0; k < sigma.length; k++) {
		const [a, b, c] = [triangles[3 * k]!, triangles[3 * k + 1]!, triangles[3 * k + 2]!];
		const [bx, by] = [nodes[2 * b]! - nodes[2 * a]!, nodes[2 * b + 1]! - nodes[2 * a + 1]!];
		const [cx, cy] = [nodes[2 * c]! - nodes[2 * a]!, nodes[2 * c + 1]! - nodes[2 * a + 1]!];
		const twiceArea = bx * cy - cx * by;
		const [du, dv] = [u(b) - u(a), u(c) - u(a)];
		const gx = (du * cy - dv * by) / twiceArea;
		const gy = (dv * bx - du * cx) / twiceArea;
		lost += (sigma[k]! * (gx * gx + gy * gy) * twiceArea) / 2;
	}
	for (let e = 0; e < electrodeOfEdge.length; e++) {
		const [a, b] = [electrodeEdges[2 * e]!, electrodeEdges[2 * e + 1]!];
		const m = electrodeOfEdge[e]!;
		const length = Math.hypot(nodes[2 * b]! - nodes[2 * a]!, nodes[2 * b + 1]! - nodes[2 * a + 1]!);
		const [p, q] = [u(a) - electrode(m), u(b) - electrode(m)];
		lost += ((length / 3) * (p * p + p * q + q * q)) / subject.contactImpedance[m]!;
	}
	const given = electrode(0) - electrode(5);
	return Math.abs(lost / given - 1);
}
