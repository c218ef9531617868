/** The names the app uses for what goes to the server and comes back; api-types.ts is generated from the server's own description. */

import type { components } from './api-types';

export type Schemas = components['schemas'];

export type About = Schemas['About'];
export type CubeIn = Partial<Schemas['CubeIn']>;
export type Target = Schemas['TargetOut'];
export type Cycle = Schemas['CycleOut'];
export type OrbitPlan = Omit<Schemas['OrbitOut'], 'orbit'> & { orbit: string };
export type StepPlan = Schemas['StepOut'];
export type CubeFace = Schemas['View'];
export type Plan = Schemas['PlanOut'];
export type Problem = Schemas['ProblemOut'];
export type Repair = Schemas['RepairOut'];
export type Diagnosis = Schemas['DiagnosisOut'];
export type Deal = Schemas['DealOut'];
export type Settings = Partial<Schemas['SettingsIn']>;

/** A method or a lettering, as the lists of them have it. */
export interface Named {
  name: string;
  about: string;
  own: boolean;
  title?: string;
}
