// What the server and the page say to each other: names for the types generated from the server's own description
// (`npm run wire` writes src/api.d.ts from openapi.json).
import type { components } from './api'

type Schema = components['schemas']

/** An answer: the server sends every key, null where there is nothing. */
export type Answer<T> = T extends (infer U)[] ? Answer<U>[] : T extends object ? { [K in keyof T]-?: Answer<Exclude<T[K], undefined>> } : T

/** A plan: a key is left out where nothing is said. */
type Plain<T> = T extends (infer U)[] ? Plain<U>[] : T extends object ? { [K in keyof T]: Plain<Exclude<T[K], null>> } : T

export type RunPlan = Plain<Schema['RunPlanWire']>
export type Still = Plain<Schema['StillWire']>
export type Charge = Plain<Schema['ChargeWire']>
export type Site = Plain<Schema['SiteWire']>
export type Step = Plain<Schema['StepWire']>
export type StepKind = Schema['StepKindWire']
export type StillKind = Schema['StillKindWire']
export type ChargeKind = Schema['ChargeKindWire']

export interface House {
  example: { name: string; plans: (RunPlan & { id: string })[] }
  own: OwnStill | null
  zone_offset_minutes: number
}
export type OwnStill = Omit<Answer<Schema['OwnStillWire']>, 'still'> & { still: Still }

export type Forecast = Answer<Schema['ForecastWire']>
export type ForecastRow = Forecast['rows'][number]
export type Jar = Answer<Schema['JarWire']>

export type Priority = Schema['PriorityWire']
export type LiveEvent = Answer<Schema['EventWire']>
export type Point = Answer<Schema['PointWire']>
export type Columns = Answer<Schema['ColumnsWire']>

/** What the feed sends with `event: knowledge`: what is known, the run's start, the newest act, the newest point of the drawings. */
export type KnowledgeMessage = Answer<Schema['KnowledgeMessageWire']>
export type Recorded = Schema['RecordedWire']

export type RunActionRow = Answer<Schema['ActionRowWire']>
export type RunSummary = Answer<Schema['RunSummaryWire']>
export type RunSnapshot = Omit<Answer<Schema['RunWire']>, 'plan'> & { plan: RunPlan }

export type NewRun = Omit<Schema['NewRunAsk'], 'plan'> & { plan: RunPlan }
export type NewAction = Schema['ActionAsk']
export type NewJar = Schema['JarAsk']
export type LogEntry = Answer<Schema['LogEntryWire']>
export type LogPart = Answer<Schema['LogWire']>
export interface KeptPlan { name: string; plan: RunPlan; entered?: Schema['EnteredWire'][] }
export type OwnStillAsk = Schema['OwnStillAsk']
export type ReadingRow = Schema['ReadingRowWire']

/** A refusal; what a proxy or a lost network says has fewer fields. */
export type Problem = Pick<Schema['Problem'], 'title' | 'status' | 'code'> & Partial<Plain<Schema['Problem']>>
export type GaugeAnswer = Answer<Schema['GaugeAnswer']>
export type ReduceAnswer = Answer<Schema['ReduceAnswer']>
export type Asker = Answer<Schema['AskerWire']>
export type Guests = Answer<Schema['GuestsWire']>
export type Code = Answer<Schema['CodeWire']>
export type DeviceToken = Answer<Schema['DeviceTokenWire']>
export type BlendAnswer = Answer<Schema['BlendAnswer']>

/** What the program reads by itself. */
export type Feeds = Answer<Schema['FeedsWire']>
export type FeedsOf = Feeds['stills'][number]
export type WashFeedsOf = Feeds['washes'][number]
export type FeedValue = FeedsOf['values'][number]

/** How alarms are told by the program itself, and what came of it. */
export type AlarmOutputs = Answer<Schema['OutputsWire']>
export type AlarmReview = Answer<Schema['AlarmReviewWire']>

/** All runs that are going on, the one that needs a person soonest first. */
export type Attending = Answer<Schema['AttendingWire']>
export type Attended = Attending['runs'][number]

/** Washes: from the yeast to the charge. */
export type WashSummary = Answer<Schema['WashSummaryWire']>
export type Wash = Omit<Answer<Schema['WashWire']>, 'recipe'> & { recipe: WashRecipe }
export type WashLine = Wash['lines'][number]
export type WashRecipe = Plain<Schema['WashRecipeWire']> & { title: string }
export type Fermentable = WashRecipe['fermentable'][number]
export type WashForecast = Answer<Schema['WashForecastWire']>

export type Cuts = Answer<Schema['CutsWire']>
export type CutJar = Cuts['jars'][number]
/** The account of pure alcohol. */
export type AccountBalance = Answer<Schema['AccountBalanceWire']>
export type Stage = AccountBalance['river'][number]
export type PlaceAmount = Stage['away'][number]
export type AccountEntry = Answer<Schema['AccountEntryWire']>
export type AccountLot = Answer<Schema['StandingLotWire']>
export type LotRecall = Answer<Schema['LotRecallWire']>
export type Acts = Answer<Schema['EntryKindsWire']>
export type EnterAsk = Schema['EnterAsk']
export type StockTakeAsk = Schema['StockTakeAsk']
export type RunIntoBookAsk = Schema['RunIntoBookAsk']

export type StepsAsk = Schema['StepsAsk']
export type StepsAnswer = Answer<Schema['StepsAnswer']>
export type BottlingAsk = Schema['BottlingAsk']
export type BottlingAnswer = Answer<Schema['BottlingAnswer']>

export type CarbonAsk = Schema['CarbonAsk']
export type CarbonAnswer = Answer<Schema['CarbonAnswer']>
export type MacerateAsk = Schema['MacerateAsk']
export type MacerateAnswer = Answer<Schema['MacerateAnswer']>
export type CaskAsk = Schema['CaskAsk']
export type CaskAnswer = Answer<Schema['CaskAnswer']>
export type DoneAsk = Schema['DoneAsk']
export type ActAsk = Schema['ActAsk']
export type ActAnswer = Answer<Schema['ActAnswer']>
export type NosedAsk = Schema['NosedAsk']
export type Nosed = Answer<Schema['NosedWire']>
export type Upkeep = Answer<Schema['UpkeepWire']>
export type UpkeepAsk = Schema['UpkeepAsk']
export type UpkeepDoneAsk = Schema['UpkeepDoneAsk']
export type Instrument = Answer<Schema['InstrumentWire']>
export type InstrumentAsk = Schema['InstrumentAsk']
export type CalibrateAsk = Schema['CalibrateAsk']
