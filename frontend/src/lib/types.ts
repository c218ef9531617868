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

export type AttemptRecord = Schemas['AttemptOut'];
export type AttemptDetails = Schemas['OneAttemptOut'];
export type AttemptPage = Schemas['AttemptsOut'];
export type SeriesRecord = Schemas['SeriesOut'];
export type Solvers = Schemas['SolversOut'];
export type Progress = Schemas['ProgressOut'];
export type Rate = Schemas['RateOut'];
export type Outcome = AttemptRecord['outcome'];

export type ExerciseRow = Schemas['ExerciseOut'];
export type Question = Schemas['QuestionOut'];
export type Judged = Schemas['JudgedOut'];
export type TodayPlan = Schemas['TodayOut'];
export type Block = Schemas['BlockOut'];
export type OwnWord = Schemas['OwnOut'];
export type Candidate = Schemas['CandidateOut'];
export type PairWords = Schemas['PairOut'];
export type WordChoices = Schemas['ChoicesOut'];
export type WordGrid = Schemas['GridOut'];
export type GridOrbit = Schemas['GridOrbitOut'];
export type GridCell = Schemas['CellOut'];
export type PairState = GridCell['state'];
export type ToldMemo = Schemas['ToldOut'];
export type WordImport = Schemas['ImportOut'];
export type KeptRoute = Schemas['RouteOut'];

export type HandoutKind = Schemas['KindOut'];
export type HandoutIn = Schemas['HandoutIn'];
export type Handout = Schemas['HandoutOut'];
