BEGIN TRANSACTION;
CREATE TABLE attempt (
	id VARCHAR(36) NOT NULL, 
	solver VARCHAR(200) NOT NULL, 
	series VARCHAR(36), 
	number BIGINT, 
	event VARCHAR(200) NOT NULL, 
	started BIGINT NOT NULL, 
	day VARCHAR(10) NOT NULL, 
	scramble TEXT NOT NULL, 
	hold VARCHAR(200) NOT NULL, 
	method VARCHAR(200) NOT NULL, 
	lettering VARCHAR(200) NOT NULL, 
	breaks_policy VARCHAR(200) NOT NULL, 
	outcome VARCHAR(20) NOT NULL, 
	memo_ms BIGINT, 
	total_ms BIGINT, 
	final TEXT, 
	memo TEXT NOT NULL, 
	edge_letters BIGINT, 
	corner_letters BIGINT, 
	breaks BIGINT, 
	flipped BIGINT, 
	twisted BIGINT, 
	parity BOOLEAN, 
	cycles BIGINT, 
	turns BIGINT, 
	note TEXT NOT NULL, 
	demo BOOLEAN NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(series) REFERENCES series (id) ON DELETE SET NULL DEFERRABLE INITIALLY DEFERRED
);
INSERT INTO "attempt" VALUES('baa58bed-d8ba-4513-a7f9-6318b899f5ca','','148b3932-0732-455b-ad0c-17d9848fc17c',1,'333bf',1767987000123456,'2026-01-09','R U F2 L'' D','white up, green in front','two-swap','clockwise','lowest','dnf',41230,102450,'','{"corners":"","edges":"FU P"}',3,0,0,1,0,1,1,61,'“late”
and cold',0);
INSERT INTO "attempt" VALUES('198f1498-5a19-4765-ab51-17ef30e2cb33','Jory',NULL,NULL,'333mbf',1768073400123456,'2026-01-10','','','','','','solved',NULL,NULL,NULL,'{}',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'',0);
INSERT INTO "attempt" VALUES('5b5422ca-7301-4284-ac26-ca2f12b352cb','',NULL,NULL,'333bf',1767987000123456,'2026-01-09','','','','','','unfinished',NULL,NULL,NULL,'{}',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'',1);
CREATE TABLE attempt_tally (
	feature VARCHAR(20) NOT NULL, 
	solver VARCHAR(200) NOT NULL, 
	event VARCHAR(200) NOT NULL, 
	day VARCHAR(10) NOT NULL, 
	method VARCHAR(200) NOT NULL, 
	demo BOOLEAN NOT NULL, 
	value INTEGER NOT NULL, 
	attempts BIGINT NOT NULL, 
	solved BIGINT NOT NULL, 
	plus2 BIGINT NOT NULL, 
	dnf BIGINT NOT NULL, 
	dns BIGINT NOT NULL, 
	unfinished BIGINT NOT NULL, 
	timed BIGINT NOT NULL, 
	total_ms BIGINT NOT NULL, 
	memo_timed BIGINT NOT NULL, 
	memo_ms BIGINT NOT NULL, 
	planned BIGINT NOT NULL, 
	letters BIGINT NOT NULL, 
	cycles BIGINT NOT NULL, 
	parities BIGINT NOT NULL, 
	turns BIGINT NOT NULL, executed BIGINT DEFAULT '0' NOT NULL, execution_ms BIGINT DEFAULT '0' NOT NULL, 
	PRIMARY KEY (feature, solver, event, day, method, demo, value)
)
 WITHOUT ROWID

;
INSERT INTO "attempt_tally" VALUES('all','','333bf','2026-01-09','',1,0,1,0,0,0,0,1,0,0,0,0,0,0,0,0,0,0,0);
INSERT INTO "attempt_tally" VALUES('all','','333bf','2026-01-09','two-swap',0,0,1,0,0,1,0,0,0,0,0,0,1,3,1,1,61,0,0);
INSERT INTO "attempt_tally" VALUES('all','Jory','333mbf','2026-01-10','',0,0,1,1,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0);
INSERT INTO "attempt_tally" VALUES('breaks','','333bf','2026-01-09','two-swap',0,0,1,0,0,1,0,0,0,0,0,0,1,3,1,1,61,0,0);
INSERT INTO "attempt_tally" VALUES('corner_letters','','333bf','2026-01-09','two-swap',0,0,1,0,0,1,0,0,0,0,0,0,1,3,1,1,61,0,0);
INSERT INTO "attempt_tally" VALUES('edge_letters','','333bf','2026-01-09','two-swap',0,3,1,0,0,1,0,0,0,0,0,0,1,3,1,1,61,0,0);
INSERT INTO "attempt_tally" VALUES('flipped','','333bf','2026-01-09','two-swap',0,1,1,0,0,1,0,0,0,0,0,0,1,3,1,1,61,0,0);
INSERT INTO "attempt_tally" VALUES('letters','','333bf','2026-01-09','two-swap',0,3,1,0,0,1,0,0,0,0,0,0,1,3,1,1,61,0,0);
INSERT INTO "attempt_tally" VALUES('parity','','333bf','2026-01-09','two-swap',0,1,1,0,0,1,0,0,0,0,0,0,1,3,1,1,61,0,0);
INSERT INTO "attempt_tally" VALUES('twisted','','333bf','2026-01-09','two-swap',0,0,1,0,0,1,0,0,0,0,0,0,1,3,1,1,61,0,0);
CREATE TABLE card (
	id VARCHAR(36) NOT NULL, 
	solver VARCHAR(200) NOT NULL, 
	exercise VARCHAR(200) NOT NULL, 
	subject VARCHAR(200) NOT NULL, 
	state TEXT NOT NULL, 
	due BIGINT NOT NULL, 
	stability DOUBLE, 
	difficulty DOUBLE, 
	demo BOOLEAN NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "card" VALUES('9ab08043-b896-55a2-b135-2537f8f836d2','','setup','edges/LB','{"card_id":1,"difficulty":5.28,"stability":3.17,"state":2,"step":null}',1768332600123456,3.17,5.28,0);
CREATE TABLE cube (
	id VARCHAR(36) NOT NULL, 
	attempt VARCHAR(36) NOT NULL, 
	number BIGINT NOT NULL, 
	scramble TEXT NOT NULL, 
	outcome VARCHAR(20) NOT NULL, 
	final TEXT, 
	memo TEXT NOT NULL, 
	note TEXT NOT NULL, 
	demo BOOLEAN NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(attempt) REFERENCES attempt (id) ON DELETE CASCADE DEFERRABLE INITIALLY DEFERRED
);
INSERT INTO "cube" VALUES('307efc8c-4cf8-5ebf-9cb9-274be40acfee','198f1498-5a19-4765-ab51-17ef30e2cb33',1,'R U','solved',NULL,'{"edges":"AB"}','',0);
INSERT INTO "cube" VALUES('8f48de6c-6018-5a3f-9fc8-c47151ff7638','198f1498-5a19-4765-ab51-17ef30e2cb33',2,'F D','plus2','','{}','',0);
CREATE TABLE fact (
	id VARCHAR(36) NOT NULL, 
	name VARCHAR(200) NOT NULL, 
	value TEXT NOT NULL, 
	demo BOOLEAN NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "fact" VALUES('99e9c121-aad9-52fc-8318-fccad0efb6bd','made-by','0.1.0',0);
INSERT INTO "fact" VALUES('94a8c1de-c238-5180-a864-1034a4733649','demo-loaded','2026-01-09',0);
CREATE TABLE mistake (
	id VARCHAR(36) NOT NULL, 
	solver VARCHAR(200) NOT NULL, 
	attempt VARCHAR(36), 
	run VARCHAR(36), 
	found BIGINT NOT NULL, 
	day VARCHAR(10) NOT NULL, 
	source VARCHAR(20) NOT NULL, 
	explanation BIGINT NOT NULL, 
	probability DOUBLE NOT NULL, 
	alone BOOLEAN NOT NULL, 
	kind VARCHAR(200) NOT NULL, 
	orbit VARCHAR(200) NOT NULL, 
	at BIGINT, 
	letter VARCHAR(200) NOT NULL, 
	said TEXT NOT NULL, 
	demo BOOLEAN NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(attempt) REFERENCES attempt (id) ON DELETE CASCADE DEFERRABLE INITIALLY DEFERRED, 
	FOREIGN KEY(run) REFERENCES run (id) ON DELETE CASCADE DEFERRABLE INITIALLY DEFERRED
);
INSERT INTO "mistake" VALUES('a9d5534e-067d-4568-847e-bb7394886f86','','baa58bed-d8ba-4513-a7f9-6318b899f5ca',NULL,1767987000123456,'2026-01-09','inquest',0,0.625,1,'letter-left-out','edges',1,'U','{"say":"edge letter 2, U: U was left out"}',0);
INSERT INTO "mistake" VALUES('becca3cb-8f25-405f-8db0-615df3eac1ec','',NULL,'75cba91a-9d21-48f7-b394-fbcae9027898',1767987000123456,'2026-01-09','drill',0,1.0,0,'beside','',NULL,'','{}',0);
CREATE TABLE mistake_tally (
	solver VARCHAR(200) NOT NULL, 
	day VARCHAR(10) NOT NULL, 
	source VARCHAR(20) NOT NULL, 
	kind VARCHAR(200) NOT NULL, 
	orbit VARCHAR(200) NOT NULL, 
	demo BOOLEAN NOT NULL, 
	mistakes BIGINT NOT NULL, 
	weight BIGINT NOT NULL, 
	cost BIGINT NOT NULL, 
	PRIMARY KEY (solver, day, source, kind, orbit, demo)
)
 WITHOUT ROWID

;
INSERT INTO "mistake_tally" VALUES('','2026-01-09','drill','beside','',0,1,1000000,0);
INSERT INTO "mistake_tally" VALUES('','2026-01-09','inquest','letter-left-out','edges',0,1,625000,625000);
CREATE TABLE nightfold_schema (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT nightfold_schema_pkc PRIMARY KEY (version_num)
);
INSERT INTO "nightfold_schema" VALUES('0003');
CREATE TABLE review (
	id VARCHAR(36) NOT NULL, 
	solver VARCHAR(200) NOT NULL, 
	card VARCHAR(36) NOT NULL, 
	run VARCHAR(36), 
	exercise VARCHAR(200) NOT NULL, 
	answered BIGINT NOT NULL, 
	day VARCHAR(10) NOT NULL, 
	rating BIGINT NOT NULL, 
	"right" BOOLEAN NOT NULL, 
	share DOUBLE NOT NULL, 
	answer_ms BIGINT, 
	asked TEXT NOT NULL, 
	given TEXT NOT NULL, 
	demo BOOLEAN NOT NULL, days_since DOUBLE, 
	PRIMARY KEY (id), 
	FOREIGN KEY(card) REFERENCES card (id) ON DELETE CASCADE DEFERRABLE INITIALLY DEFERRED, 
	FOREIGN KEY(run) REFERENCES run (id) ON DELETE SET NULL DEFERRABLE INITIALLY DEFERRED
);
INSERT INTO "review" VALUES('01ef5bed-f084-469a-a41f-ac140dffb375','','9ab08043-b896-55a2-b135-2537f8f836d2','75cba91a-9d21-48f7-b394-fbcae9027898','setup',1767987000123456,'2026-01-09',3,1,1.0,1834,'{"letter":"E"}','L'' U',0,NULL);
CREATE TABLE review_tally (
	solver VARCHAR(200) NOT NULL, 
	day VARCHAR(10) NOT NULL, 
	exercise VARCHAR(200) NOT NULL, 
	demo BOOLEAN NOT NULL, 
	reviews BIGINT NOT NULL, 
	"right" BIGINT NOT NULL, 
	share BIGINT NOT NULL, 
	timed BIGINT NOT NULL, 
	answer_ms BIGINT NOT NULL, again BIGINT DEFAULT '0' NOT NULL, recalled BIGINT DEFAULT '0' NOT NULL, 
	PRIMARY KEY (solver, day, exercise, demo)
)
 WITHOUT ROWID

;
INSERT INTO "review_tally" VALUES('','2026-01-09','setup',0,1,1,1000000,1,1834,0,0);
CREATE TABLE route (
	id VARCHAR(36) NOT NULL, 
	solver VARCHAR(200) NOT NULL, 
	name VARCHAR(200) NOT NULL, 
	loci TEXT NOT NULL, 
	note TEXT NOT NULL, 
	created BIGINT NOT NULL, 
	changed BIGINT NOT NULL, 
	demo BOOLEAN NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "route" VALUES('8bce17d7-cd74-4a73-9f49-def173635f8e','','harbour','["steps","lamp","quay"]','',1767987000123456,1767987000123456,0);
CREATE TABLE run (
	id VARCHAR(36) NOT NULL, 
	solver VARCHAR(200) NOT NULL, 
	exercise VARCHAR(200) NOT NULL, 
	started BIGINT NOT NULL, 
	ended BIGINT, 
	settings TEXT NOT NULL, 
	score DOUBLE, 
	result TEXT NOT NULL, 
	demo BOOLEAN NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "run" VALUES('75cba91a-9d21-48f7-b394-fbcae9027898','','setup',1767987000123456,1767987000123456,'{"count":10}',0.9,'{"right":9}',0);
CREATE TABLE series (
	id VARCHAR(36) NOT NULL, 
	solver VARCHAR(200) NOT NULL, 
	kind VARCHAR(20) NOT NULL, 
	name VARCHAR(200) NOT NULL, 
	event VARCHAR(200) NOT NULL, 
	started BIGINT NOT NULL, 
	note TEXT NOT NULL, 
	demo BOOLEAN NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "series" VALUES('148b3932-0732-455b-ad0c-17d9848fc17c','','best-of-3','Friday','333bf',1767987000123456,'windy',0);
CREATE TABLE solver (
	id VARCHAR(36) NOT NULL, 
	name VARCHAR(200) NOT NULL, 
	created BIGINT NOT NULL, 
	note TEXT NOT NULL, 
	demo BOOLEAN NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "solver" VALUES('d32611cb-d8ef-54d9-94af-0e80fd6b7567','Jory',1767987000123456,'Fridays',0);
CREATE TABLE word (
	id VARCHAR(36) NOT NULL, 
	solver VARCHAR(200) NOT NULL, 
	language VARCHAR(200) NOT NULL, 
	pair VARCHAR(80) NOT NULL, 
	word VARCHAR(200) NOT NULL, 
	kind VARCHAR(200) NOT NULL, 
	note TEXT NOT NULL, 
	strength DOUBLE NOT NULL, 
	created BIGINT NOT NULL, 
	changed BIGINT NOT NULL, 
	demo BOOLEAN NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "word" VALUES('f51e2a50-7aab-5c09-8669-898a5cc0a387','','en','L S','lighthouse','place','ours',0.75,1767987000123456,1767987000123456,0);
INSERT INTO "word" VALUES('0d5a4578-9122-544f-a97c-9c21110479b0','Jory','ru','Ш А','шар','','',0.5,1767987000123456,1767987000123456,0);
CREATE INDEX card_by_solver_due ON card (solver, due);
CREATE INDEX card_by_solver_exercise_due ON card (solver, exercise, due);
CREATE INDEX run_by_solver_exercise_started ON run (solver, exercise, started);
CREATE INDEX series_by_solver_started ON series (solver, started);
CREATE INDEX word_by_solver_language_pair ON word (solver, language, pair);
CREATE INDEX attempt_by_series_number ON attempt (series, number);
CREATE INDEX attempt_by_solver_event_outcome_total_ms ON attempt (solver, event, outcome, total_ms);
CREATE INDEX attempt_by_solver_event_started ON attempt (solver, event, started);
CREATE INDEX attempt_by_solver_method_started ON attempt (solver, method, started);
CREATE INDEX attempt_by_solver_outcome_started ON attempt (solver, outcome, started);
CREATE INDEX attempt_by_solver_started ON attempt (solver, started);
CREATE INDEX attempt_by_started ON attempt (started);
CREATE INDEX review_by_card_answered ON review (card, answered);
CREATE INDEX review_by_run ON review (run);
CREATE INDEX review_by_solver_answered ON review (solver, answered);
CREATE INDEX review_by_solver_exercise_answered ON review (solver, exercise, answered);
CREATE INDEX cube_by_attempt_number ON cube (attempt, number);
CREATE INDEX mistake_by_attempt ON mistake (attempt);
CREATE INDEX mistake_by_run ON mistake (run);
CREATE INDEX mistake_by_solver_found ON mistake (solver, found);
CREATE INDEX attempt_of_demo ON attempt (solver, event, started) WHERE demo = 1;
CREATE INDEX mistake_of_demo ON mistake (solver, found) WHERE demo = 1;
CREATE INDEX review_of_demo ON review (solver, exercise, answered) WHERE demo = 1;
COMMIT;
PRAGMA application_id=1313229890;
