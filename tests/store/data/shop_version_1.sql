BEGIN TRANSACTION;
CREATE TABLE shop_batch (
	name VARCHAR(100) NOT NULL, 
	CONSTRAINT pk_shop_batch PRIMARY KEY (name)
);
INSERT INTO "shop_batch" VALUES('B1');
INSERT INTO "shop_batch" VALUES('C1');
CREATE TABLE shop_batch_state (
	sequence INTEGER NOT NULL, 
	name VARCHAR(100) NOT NULL, 
	version INTEGER NOT NULL, 
	od_mm DOUBLE NOT NULL, 
	wall_mm DOUBLE NOT NULL, 
	steel VARCHAR(100) NOT NULL, 
	heat_number VARCHAR(100) NOT NULL, 
	yield_mpa DOUBLE, 
	certificate VARCHAR(100) NOT NULL, 
	retired BOOLEAN NOT NULL, 
	note TEXT NOT NULL, 
	recorded VARCHAR(40) NOT NULL, 
	CONSTRAINT pk_shop_batch_state PRIMARY KEY (sequence), 
	CONSTRAINT fk_shop_batch_state_name FOREIGN KEY(name) REFERENCES shop_batch (name), 
	CONSTRAINT uq_shop_batch_state_name_version UNIQUE (name, version)
);
INSERT INTO "shop_batch_state" VALUES(4,'B1',1,45.0,2.5,'E355','4711',460.5,'',0,'','2026-11-26T04:54:33.130848+00:00');
INSERT INTO "shop_batch_state" VALUES(5,'C1',1,38.0,2.5,'','',NULL,'',0,'','2026-11-26T04:54:33.157370+00:00');
CREATE TABLE shop_bend (
	sequence INTEGER NOT NULL, 
	"key" VARCHAR(100) NOT NULL, 
	time VARCHAR(40) NOT NULL, 
	bender VARCHAR(100) NOT NULL, 
	die VARCHAR(100) NOT NULL, 
	batch VARCHAR(100) NOT NULL, 
	project VARCHAR(100) NOT NULL, 
	bar VARCHAR(100) NOT NULL, 
	bend_number INTEGER NOT NULL, 
	wanted_deg DOUBLE NOT NULL, 
	command_deg DOUBLE NOT NULL, 
	released_deg DOUBLE NOT NULL, 
	fed_from VARCHAR(1) NOT NULL, 
	rotation_deg DOUBLE, 
	note TEXT NOT NULL, 
	counts BOOLEAN NOT NULL, 
	corrects VARCHAR(100), 
	recorded VARCHAR(40) NOT NULL, 
	CONSTRAINT pk_shop_bend PRIMARY KEY (sequence), 
	CONSTRAINT fk_shop_bend_bender FOREIGN KEY(bender) REFERENCES shop_bender (name), 
	CONSTRAINT fk_shop_bend_die FOREIGN KEY(die) REFERENCES shop_die (name), 
	CONSTRAINT fk_shop_bend_batch FOREIGN KEY(batch) REFERENCES shop_batch (name), 
	CONSTRAINT uq_shop_bend_key UNIQUE ("key"), 
	CONSTRAINT uq_shop_bend_corrects UNIQUE (corrects), 
	CONSTRAINT fk_shop_bend_corrects FOREIGN KEY(corrects) REFERENCES shop_bend ("key")
);
INSERT INTO "shop_bend" VALUES(10,'a','2026-03-14T08:30:00.000000+00:00','Red','45','B1','car','MH',1,90.0,93.1,90.2,'A',-89.5,'first',1,NULL,'2026-11-26T04:54:33.237679+00:00');
INSERT INTO "shop_bend" VALUES(11,'b','2026-03-14T08:30:00.000000+00:00','Red','45','B1','','',1,90.0,93.1,90.2,'A',NULL,'',1,NULL,'2026-11-26T04:54:33.237679+00:00');
INSERT INTO "shop_bend" VALUES(12,'a2','2026-03-14T08:30:00.000000+00:00','Red','45','B1','','',1,90.0,93.1,90.15,'A',NULL,'',1,'a','2026-11-26T04:54:33.237679+00:00');
CREATE TABLE shop_bender (
	name VARCHAR(100) NOT NULL, 
	CONSTRAINT pk_shop_bender PRIMARY KEY (name)
);
INSERT INTO "shop_bender" VALUES('Red');
CREATE TABLE shop_bender_state (
	sequence INTEGER NOT NULL, 
	name VARCHAR(100) NOT NULL, 
	version INTEGER NOT NULL, 
	swings VARCHAR(20) NOT NULL, 
	clamp_mm DOUBLE NOT NULL, 
	axis_height_mm DOUBLE, 
	reach_deg DOUBLE NOT NULL, 
	stand TEXT NOT NULL, 
	retired BOOLEAN NOT NULL, 
	note TEXT NOT NULL, 
	recorded VARCHAR(40) NOT NULL, 
	CONSTRAINT pk_shop_bender_state PRIMARY KEY (sequence), 
	CONSTRAINT fk_shop_bender_state_name FOREIGN KEY(name) REFERENCES shop_bender (name), 
	CONSTRAINT uq_shop_bender_state_name_version UNIQUE (name, version)
);
INSERT INTO "shop_bender_state" VALUES(1,'Red',1,'anticlockwise',120.0,NULL,180.0,'{"wall_mm": [1, 2.5]}',0,'','2026-11-26T04:54:33.038690+00:00');
CREATE TABLE shop_calibration (
	sequence INTEGER NOT NULL, 
	"key" VARCHAR(100) NOT NULL, 
	die VARCHAR(100) NOT NULL, 
	bender VARCHAR(100), 
	batch VARCHAR(100), 
	od_mm DOUBLE NOT NULL, 
	wall_mm DOUBLE NOT NULL, 
	date VARCHAR(20) NOT NULL, 
	samples TEXT NOT NULL, 
	given TEXT NOT NULL, 
	corrects VARCHAR(100), 
	recorded VARCHAR(40) NOT NULL, 
	CONSTRAINT pk_shop_calibration PRIMARY KEY (sequence), 
	CONSTRAINT fk_shop_calibration_die FOREIGN KEY(die) REFERENCES shop_die (name), 
	CONSTRAINT fk_shop_calibration_bender FOREIGN KEY(bender) REFERENCES shop_bender (name), 
	CONSTRAINT fk_shop_calibration_batch FOREIGN KEY(batch) REFERENCES shop_batch (name), 
	CONSTRAINT uq_shop_calibration_key UNIQUE ("key"), 
	CONSTRAINT uq_shop_calibration_corrects UNIQUE (corrects), 
	CONSTRAINT fk_shop_calibration_corrects FOREIGN KEY(corrects) REFERENCES shop_calibration ("key")
);
INSERT INTO "shop_calibration" VALUES(9,'c','45','Red','B1',45.0,2.5,'2026-03-14','{"od_mm": 45.0, "wall_mm": 2.5, "name": "first", "die": "45", "gauge_sd_deg": 0.25, "tape_sd_mm": 0.5, "angle": [{"command_deg": 20.1, "released_deg": 18.6}, {"command_deg": 90.0, "released_deg": 86.5}], "leg": [{"cut_mm": 900.0, "mark_mm": 300.0, "leg_a_mm": 471.5, "leg_b_mm": 536.5, "released_deg": 90.0}], "u": [{"outside_mm": 320.0}], "plain": [{"clr_mm": 137.5}]}','od_mm = 45.0
',NULL,'2026-11-26T04:54:33.219325+00:00');
CREATE TABLE shop_counter (
	id INTEGER NOT NULL, 
	last_sequence INTEGER NOT NULL, 
	PRIMARY KEY (id), 
	CONSTRAINT ck_shop_counter_one_row CHECK (id = 1)
);
INSERT INTO "shop_counter" VALUES(1,12);
CREATE TABLE shop_die (
	name VARCHAR(100) NOT NULL, 
	CONSTRAINT pk_shop_die PRIMARY KEY (name)
);
INSERT INTO "shop_die" VALUES('45');
INSERT INTO "shop_die" VALUES('38');
CREATE TABLE shop_die_state (
	sequence INTEGER NOT NULL, 
	name VARCHAR(100) NOT NULL, 
	version INTEGER NOT NULL, 
	od_mm DOUBLE NOT NULL, 
	clr_mm DOUBLE NOT NULL, 
	reach_deg DOUBLE NOT NULL, 
	clamp_mm DOUBLE, 
	bender VARCHAR(100) NOT NULL, 
	retired BOOLEAN NOT NULL, 
	note TEXT NOT NULL, 
	recorded VARCHAR(40) NOT NULL, 
	CONSTRAINT pk_shop_die_state PRIMARY KEY (sequence), 
	CONSTRAINT fk_shop_die_state_bender FOREIGN KEY(bender) REFERENCES shop_bender (name), 
	CONSTRAINT fk_shop_die_state_name FOREIGN KEY(name) REFERENCES shop_die (name), 
	CONSTRAINT uq_shop_die_state_name_version UNIQUE (name, version)
);
INSERT INTO "shop_die_state" VALUES(2,'45',1,45.0,137.5,120.0,NULL,'Red',0,'','2026-11-26T04:54:33.092304+00:00');
INSERT INTO "shop_die_state" VALUES(3,'38',1,38.0,114.0,180.0,90.0,'Red',0,'','2026-11-26T04:54:33.109712+00:00');
CREATE TABLE shop_stick (
	name VARCHAR(100) NOT NULL, 
	CONSTRAINT pk_shop_stick PRIMARY KEY (name)
);
INSERT INTO "shop_stick" VALUES('S1');
INSERT INTO "shop_stick" VALUES('S1a');
CREATE TABLE shop_stick_state (
	sequence INTEGER NOT NULL, 
	name VARCHAR(100) NOT NULL, 
	version INTEGER NOT NULL, 
	batch VARCHAR(100) NOT NULL, 
	length_mm DOUBLE NOT NULL, 
	state VARCHAR(20) NOT NULL, 
	cut_from VARCHAR(100), 
	note TEXT NOT NULL, 
	recorded VARCHAR(40) NOT NULL, 
	CONSTRAINT pk_shop_stick_state PRIMARY KEY (sequence), 
	CONSTRAINT fk_shop_stick_state_batch FOREIGN KEY(batch) REFERENCES shop_batch (name), 
	CONSTRAINT fk_shop_stick_state_cut_from FOREIGN KEY(cut_from) REFERENCES shop_stick (name), 
	CONSTRAINT fk_shop_stick_state_name FOREIGN KEY(name) REFERENCES shop_stick (name), 
	CONSTRAINT uq_shop_stick_state_name_version UNIQUE (name, version)
);
INSERT INTO "shop_stick_state" VALUES(6,'S1',1,'B1',6000.0,'kept',NULL,'','2026-11-26T04:54:33.170617+00:00');
INSERT INTO "shop_stick_state" VALUES(7,'S1',2,'B1',6000.0,'used',NULL,'','2026-11-26T04:54:33.190363+00:00');
INSERT INTO "shop_stick_state" VALUES(8,'S1a',1,'B1',1200.5,'kept','S1','','2026-11-26T04:54:33.191478+00:00');
CREATE TABLE shop_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT shop_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "shop_version" VALUES('0001');
CREATE INDEX ix_shop_calibration_die ON shop_calibration (die);
CREATE INDEX ix_shop_bend_die_batch ON shop_bend (die, batch);
CREATE INDEX ix_shop_bend_project_bar ON shop_bend (project, bar);
CREATE INDEX ix_shop_bend_bender_time ON shop_bend (bender, time);
COMMIT;
