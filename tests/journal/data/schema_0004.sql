BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0004');
CREATE TABLE entries (
	number INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	"key" TEXT NOT NULL, 
	tank_key TEXT NOT NULL, 
	write_key TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	corrects TEXT, 
	at DATETIME, 
	zone TEXT, 
	hour_known BOOLEAN, 
	subject TEXT, 
	low FLOAT, 
	high FLOAT, 
	raw TEXT NOT NULL, 
	body TEXT NOT NULL, 
	CONSTRAINT uq_entries_key UNIQUE ("key"), 
	CONSTRAINT ck_entries_kind CHECK (kind IN ('tank', 'reading', 'event', 'habit', 'undo')), 
	CONSTRAINT ck_entries_undo CHECK (kind <> 'undo' OR corrects IS NOT NULL), 
	CONSTRAINT fk_entries_tank_key FOREIGN KEY(tank_key) REFERENCES tanks ("key"), 
	CONSTRAINT fk_entries_write_key FOREIGN KEY(write_key) REFERENCES writes ("key"), 
	CONSTRAINT fk_entries_corrects FOREIGN KEY(corrects) REFERENCES entries ("key")
);
INSERT INTO "entries" VALUES(1,'2f570731ffaa46ef8d22907d5d3f62b2','9985229b657c4abd89986d8861641b91','e6b69cac2330426a81328c0e3d05bd9d','tank',NULL,NULL,NULL,NULL,'Reading room',NULL,NULL,'','{"name":"Reading room","filled":"2026-03-01","time_zone":"Europe/Lisbon","shape":{"kind":"rectangular","length_cm":60.0,"width_cm":30.0,"height_cm":36.0,"water_depth_cm":32.0,"glass_mm":6.0,"measured":"outside"},"bed":{"material":"gravel","depth_cm":3.5,"grain_mm":3.0},"filter":{"media":[{"kind":"sponge","volume_l":0.6}],"flow_l_per_h":300.0},"heater_power_w":75.0,"heater_set_point_c":25.0,"air_flow_l_per_h":60.0,"light_hours":8.0,"plants":"few","lid":true,"room_temperature_c":20.0,"altitude_m":300.0,"normal_food_g_per_d":{"low":0.03,"high":0.03},"normal_food_protein":0.42,"source_water":{"ph":7.6,"kh_dkh":5.0,"gh_dgh":8.0,"nitrate_mg_n_per_l":1.1294833150283285,"chloramine_mg_per_l":1.5,"salinity_g_per_kg":0.0},"fill_conditioned":true,"kits":{"drop":{"name":"drop","kind":"drop","scales":[{"quantity":"ammonia","steps":[0.0,0.3,0.7,1.5,3.0,6.0],"basis":"n"}],"calibrated":[]}},"food_amounts":{"pinch":{"low":0.03,"high":0.03}},"settled_levels":{"ammonia_mg_n_per_l":0.2,"nitrite_mg_n_per_l":0.1},"limit_edits":[],"co2_injected":false}');
INSERT INTO "entries" VALUES(2,'dabbd5c5eb63427281c06094111a1e38','9985229b657c4abd89986d8861641b91','e6b69cac2330426a81328c0e3d05bd9d','event',NULL,'2026-03-01 11:00:00.000000','Europe/Lisbon',1,'dose',NULL,NULL,'','{"is":"dose","substance":"conditioner"}');
INSERT INTO "entries" VALUES(3,'c2cf73701eda461b92b1e44a1f484f32','9985229b657c4abd89986d8861641b91','e6b69cac2330426a81328c0e3d05bd9d','event',NULL,'2026-03-02 18:00:00.000000','Europe/Lisbon',1,'animals-in',NULL,NULL,'','{"is":"animals-in","species":"Danio rerio","count":4,"length_cm":2.5}');
INSERT INTO "entries" VALUES(4,'1c08444f2db34328bc3ace1e6f412d7f','9985229b657c4abd89986d8861641b91','e6b69cac2330426a81328c0e3d05bd9d','event',NULL,'2026-03-12 12:00:00.000000','Europe/Lisbon',0,'water-change',NULL,NULL,'','{"is":"water-change","fraction":0.25,"conditioner":true,"water":{}}');
INSERT INTO "entries" VALUES(5,'96c4c24e054648f6a9270cfe8bced102','9985229b657c4abd89986d8861641b91','e6b69cac2330426a81328c0e3d05bd9d','habit',NULL,'2026-03-02 12:00:00.000000','Europe/Lisbon',0,'feed',NULL,NULL,'1 pinch','{"template":{"is":"feed","mass_g":{"low":0.03,"high":0.03},"protein":0.42,"raw":"1 pinch"},"every_days":1.0,"start":"2026-03-02"}');
INSERT INTO "entries" VALUES(6,'b1acd3bbc11841e49ff224979ddc542f','9985229b657c4abd89986d8861641b91','e6b69cac2330426a81328c0e3d05bd9d','reading',NULL,'2026-03-10 19:00:00.000000','Europe/Lisbon',1,'ammonia',0.7,0.7,'0.7 mg/L as N','{"quantity":"ammonia","value":{"kind":"exact","low":0.7,"high":0.7,"basis":"n","raw":"0.7 mg/L as N"},"kit":"drop","of_source_water":false,"diluted":1.0}');
INSERT INTO "entries" VALUES(7,'8aade62cb62d45a9ab3ab67ca22c223f','9985229b657c4abd89986d8861641b91','c413b8ac07664750a49299c29318cf58','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"kept"}');
INSERT INTO "entries" VALUES(8,'4956a78a6fdc4ca5886c86fc541b23a1','9985229b657c4abd89986d8861641b91','c3e525bba1394b1283ab026f0d253f86','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"tow"}');
INSERT INTO "entries" VALUES(9,'d793a850c4c2488689d2b3bb3a190ea8','9985229b657c4abd89986d8861641b91','8e012a81796f452bbbde3bb9487aebe5','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"undone"}');
INSERT INTO "entries" VALUES(10,'fa592a2e3c224de9bf88aaf5a00b1ed7','9985229b657c4abd89986d8861641b91','e12669ae6f054a26bdb4c4b9fbe70c2a','undo','d793a850c4c2488689d2b3bb3a190ea8',NULL,NULL,NULL,NULL,NULL,NULL,'','{}');
INSERT INTO "entries" VALUES(11,'ea8b305ceb554ed39f93f789b672ccc6','9985229b657c4abd89986d8861641b91','fc2313e41f03473a945fe8b139ef201a','event','4956a78a6fdc4ca5886c86fc541b23a1','2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"two"}');
CREATE TABLE forecasts (
	"key" TEXT NOT NULL, 
	tank_key TEXT NOT NULL, 
	write_key TEXT NOT NULL, 
	as_of DATETIME NOT NULL, 
	horizon_days INTEGER NOT NULL, 
	newest_entry BIGINT NOT NULL, 
	seed BIGINT NOT NULL, 
	members INTEGER NOT NULL, 
	model_version TEXT NOT NULL, 
	parameter_digest TEXT NOT NULL, 
	document BLOB NOT NULL, 
	CONSTRAINT pk_forecasts PRIMARY KEY ("key"), 
	CONSTRAINT fk_forecasts_tank_key FOREIGN KEY(tank_key) REFERENCES tanks ("key"), 
	CONSTRAINT fk_forecasts_write_key FOREIGN KEY(write_key) REFERENCES writes ("key")
);
INSERT INTO "forecasts" VALUES('b34743cd56d44746b985a5ccc8c06a77','9985229b657c4abd89986d8861641b91','eb7bb1f878b2498fb1ed3549f2caf28a','2026-03-21 09:00:00.000000',30,11,2147483647,1000,'1','abc',X'789CAB564ACB2FCA4D2C51B252502A4F2C492D2A4BCC4BD5058AA526271697E81B2AE928289524E66583E4CF6D54AA050097B61070');
CREATE TABLE jobs (
	"key" TEXT NOT NULL, 
	owner TEXT NOT NULL, 
	tank_key TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	newest_entry BIGINT NOT NULL, 
	day DATE NOT NULL, 
	state TEXT NOT NULL, 
	stage TEXT NOT NULL, 
	progress FLOAT NOT NULL, 
	attempts INTEGER NOT NULL, 
	worker TEXT, 
	asked_at DATETIME NOT NULL, 
	started_at DATETIME, 
	beaten_at DATETIME, 
	ended_at DATETIME, 
	why_key TEXT, 
	why_arguments TEXT, 
	CONSTRAINT pk_jobs PRIMARY KEY ("key"), 
	CONSTRAINT ck_jobs_kind CHECK (kind IN ('forecast', 'today')), 
	CONSTRAINT ck_jobs_state CHECK (state IN ('waiting', 'running', 'done', 'failed', 'cancelled')), 
	CONSTRAINT uq_jobs_tank_key UNIQUE (tank_key, kind, newest_entry, day), 
	CONSTRAINT fk_jobs_tank_key FOREIGN KEY(tank_key) REFERENCES tanks ("key")
);
INSERT INTO "jobs" VALUES('b52091f0687c43cead93efd83e7c923d','me','9985229b657c4abd89986d8861641b91','forecast',11,'2026-11-26','done','',1.0,1,'worker','2026-11-26 02:29:59.714464','2026-11-26 02:29:59.724157','2026-11-26 02:29:59.724157','2026-11-26 02:29:59.724157',NULL,NULL);
INSERT INTO "jobs" VALUES('fb99324d7a024acba9fb76146875af85','me','9985229b657c4abd89986d8861641b91','today',11,'2026-11-26','waiting','',0.0,0,NULL,'2026-11-26 02:29:59.747988',NULL,NULL,NULL,NULL,NULL);
CREATE TABLE photos (
	"key" TEXT NOT NULL, 
	entry_key TEXT NOT NULL, 
	media_type TEXT NOT NULL, 
	width_px INTEGER NOT NULL, 
	height_px INTEGER NOT NULL, 
	digest TEXT NOT NULL, 
	data BLOB NOT NULL, 
	CONSTRAINT pk_photos PRIMARY KEY ("key"), 
	CONSTRAINT fk_photos_entry_key FOREIGN KEY(entry_key) REFERENCES entries ("key")
);
INSERT INTO "photos" VALUES('d7d51f3ba9064045a2c212eeb4e93037','ea8b305ceb554ed39f93f789b672ccc6','image/jpeg',3,2,'6ec9c2b0eb14010746c8bce8939303b382344b296206612eb8a907a37b2b2f37',X'706978656C73');
CREATE TABLE results (
	tank_key TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	grade TEXT NOT NULL, 
	as_of DATETIME NOT NULL, 
	current_until DATETIME NOT NULL, 
	newest_entry BIGINT NOT NULL, 
	seed BIGINT NOT NULL, 
	members INTEGER NOT NULL, 
	model_version TEXT NOT NULL, 
	parameter_digest TEXT NOT NULL, 
	made_at DATETIME NOT NULL, 
	document BLOB NOT NULL, 
	CONSTRAINT pk_results PRIMARY KEY (tank_key, kind), 
	CONSTRAINT ck_results_kind CHECK (kind IN ('forecast', 'today')), 
	CONSTRAINT ck_results_grade CHECK (grade IN ('provisional', 'full')), 
	CONSTRAINT fk_results_tank_key FOREIGN KEY(tank_key) REFERENCES tanks ("key")
);
INSERT INTO "results" VALUES('9985229b657c4abd89986d8861641b91','forecast','full','2026-03-20 12:00:00.000000','2026-03-21 00:00:00.000000',11,1,1000,'1','abc','2026-03-20 12:00:00.000000',X'789CAB564ACB2FCA4D2C51B252502A4F2C492D2A4BCC4BD5058AA526271697E81B2AE928289524E66583E4CF6D54AA050097B61070');
CREATE TABLE tanks (
	"key" TEXT NOT NULL, 
	owner TEXT NOT NULL, 
	write_key TEXT NOT NULL, 
	CONSTRAINT pk_tanks PRIMARY KEY ("key"), 
	CONSTRAINT fk_tanks_write_key FOREIGN KEY(write_key) REFERENCES writes ("key")
);
INSERT INTO "tanks" VALUES('9985229b657c4abd89986d8861641b91','me','e6b69cac2330426a81328c0e3d05bd9d');
CREATE TABLE writes (
	"key" TEXT NOT NULL, 
	actor TEXT NOT NULL, 
	request TEXT NOT NULL, 
	digest TEXT NOT NULL, 
	what TEXT NOT NULL, 
	written_at DATETIME NOT NULL, 
	CONSTRAINT pk_writes PRIMARY KEY ("key"), 
	CONSTRAINT uq_writes_actor UNIQUE (actor, request)
);
INSERT INTO "writes" VALUES('e6b69cac2330426a81328c0e3d05bd9d','me','e6b69cac2330426a81328c0e3d05bd9d','87623ceab830648b4f91539f54b7d3d6ef9bbdb04a1442dcfbf90103dd60e73e','add','2026-11-26 02:29:59.672479');
INSERT INTO "writes" VALUES('c413b8ac07664750a49299c29318cf58','me','kept','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 02:29:59.683031');
INSERT INTO "writes" VALUES('c3e525bba1394b1283ab026f0d253f86','me','tow','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 02:29:59.688921');
INSERT INTO "writes" VALUES('8e012a81796f452bbbde3bb9487aebe5','me','undone','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 02:29:59.690955');
INSERT INTO "writes" VALUES('e12669ae6f054a26bdb4c4b9fbe70c2a','me','e12669ae6f054a26bdb4c4b9fbe70c2a','eb8d7f8b06b8f78335ec72aa890b0d39aa470613cd451c49df2f52a2ce054859','undo','2026-11-26 02:29:59.693047');
INSERT INTO "writes" VALUES('fc2313e41f03473a945fe8b139ef201a','me','fc2313e41f03473a945fe8b139ef201a','844cd17a64dffb0b93be849979ecbc677a8e98a1b595a402ec08ce1b4f683166','correct','2026-11-26 02:29:59.705973');
INSERT INTO "writes" VALUES('eb7bb1f878b2498fb1ed3549f2caf28a','me','eb7bb1f878b2498fb1ed3549f2caf28a','7dda3edfe5efa61bc165ef9522421199f61bcdad2ee8ec23b339c47bcf1cec09','forecast','2026-11-26 02:29:59.710062');
CREATE INDEX ix_tanks_owner ON tanks (owner);
CREATE INDEX ix_entries_write_key ON entries (write_key);
CREATE INDEX ix_entries_tank_key_kind_at ON entries (tank_key, kind, at);
CREATE INDEX ix_entries_tank_key_number ON entries (tank_key, number);
CREATE INDEX ix_entries_tank_key_corrects ON entries (tank_key, corrects);
CREATE TRIGGER writes_no_update BEFORE UPDATE ON writes BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER writes_no_delete BEFORE DELETE ON writes BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER tanks_no_update BEFORE UPDATE ON tanks BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER tanks_no_delete BEFORE DELETE ON tanks BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER entries_no_update BEFORE UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER entries_no_delete BEFORE DELETE ON entries BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE INDEX ix_forecasts_tank_key_as_of ON forecasts (tank_key, as_of);
CREATE TRIGGER forecasts_no_update BEFORE UPDATE ON forecasts BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER forecasts_no_delete BEFORE DELETE ON forecasts BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE INDEX ix_photos_entry_key ON photos (entry_key);
CREATE TRIGGER photos_no_update BEFORE UPDATE ON photos BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER photos_no_delete BEFORE DELETE ON photos BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE INDEX ix_jobs_state_asked_at ON jobs (state, asked_at);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('entries',11);
COMMIT;
