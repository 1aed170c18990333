BEGIN TRANSACTION;
CREATE TABLE accounts (
	transport TEXT NOT NULL, 
	sender TEXT NOT NULL, 
	person_id INTEGER NOT NULL, 
	CONSTRAINT pk_accounts PRIMARY KEY (transport, sender), 
	CONSTRAINT fk_accounts_person_id FOREIGN KEY(person_id) REFERENCES people (id)
);
INSERT INTO "accounts" VALUES('terminal','local',1);
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0007');
CREATE TABLE care_log (
	collection_id INTEGER NOT NULL, 
	sequence BIGINT NOT NULL, 
	identity TEXT NOT NULL, 
	note_id INTEGER, 
	person_id INTEGER, 
	happened_on DATE NOT NULL, 
	happened_at TIME, 
	recorded_at BIGINT NOT NULL, 
	kind TEXT NOT NULL, 
	what TEXT NOT NULL, 
	facts TEXT NOT NULL, 
	CONSTRAINT pk_care_log PRIMARY KEY (collection_id, sequence), 
	CONSTRAINT fk_care_log_collection_id FOREIGN KEY(collection_id) REFERENCES collections (id), 
	CONSTRAINT fk_care_log_note_id FOREIGN KEY(note_id) REFERENCES notes (id), 
	CONSTRAINT fk_care_log_person_id FOREIGN KEY(person_id) REFERENCES people (id), 
	CONSTRAINT uq_care_log_identity UNIQUE (identity)
)
 WITHOUT ROWID

;
INSERT INTO "care_log" VALUES(1,1,'5a4a935b81344a43',1,1,'2026-04-01',NULL,1775034000000000,'event','moved','{"to":"bench 2"}');
INSERT INTO "care_log" VALUES(1,2,'3d2723a6a90f4679',2,1,'2026-04-01',NULL,1775034000000000,'climate','','{"max_c":19.0,"min_c":4.0}');
INSERT INTO "care_log" VALUES(1,3,'ce85f72996524c50',3,1,'2026-04-01',NULL,1775034000000000,'event','watered','{"except":[{"labels":["14"]}]}');
INSERT INTO "care_log" VALUES(1,4,'d6a8d9099bba4639',4,1,'2026-04-06',NULL,1775469600000000,'event','watered','{"how":"soak"}');
INSERT INTO "care_log" VALUES(1,5,'87d85169bfce4d84',4,1,'2026-04-06',NULL,1775469600000000,'finding','spider_mite','{"status":"present"}');
INSERT INTO "care_log" VALUES(1,6,'7411e14ecea04b9b',5,1,'2026-04-06',NULL,1775469600000000,'taught','plant','{"name":"old tom"}');
INSERT INTO "care_log" VALUES(1,7,'7570f11151a04e2c',6,1,'2026-04-06',NULL,1775469600000000,'event','sown','{"name":"Lobivia","sown":30}');
INSERT INTO "care_log" VALUES(1,8,'a8a13506b83843bc',7,1,'2026-04-05',NULL,1775469600000000,'event','watered','{}');
CREATE TABLE care_log_refs (
	collection_id BIGINT NOT NULL, 
	sequence BIGINT NOT NULL, 
	position INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	"key" TEXT NOT NULL, 
	count BIGINT, 
	CONSTRAINT pk_care_log_refs PRIMARY KEY (collection_id, sequence, position), 
	CONSTRAINT fk_care_log_refs_collection_id_sequence FOREIGN KEY(collection_id, sequence) REFERENCES care_log (collection_id, sequence)
)
 WITHOUT ROWID

;
INSERT INTO "care_log_refs" VALUES(1,1,0,'plant','12',NULL);
INSERT INTO "care_log_refs" VALUES(1,1,1,'plant','13',NULL);
INSERT INTO "care_log_refs" VALUES(1,1,2,'plant','14',NULL);
INSERT INTO "care_log_refs" VALUES(1,1,3,'plant','15',NULL);
INSERT INTO "care_log_refs" VALUES(1,1,4,'plant','16',NULL);
INSERT INTO "care_log_refs" VALUES(1,1,5,'plant','17',NULL);
INSERT INTO "care_log_refs" VALUES(1,1,6,'plant','18',NULL);
INSERT INTO "care_log_refs" VALUES(1,3,0,'place','bench 2',NULL);
INSERT INTO "care_log_refs" VALUES(1,3,1,'plant','12',NULL);
INSERT INTO "care_log_refs" VALUES(1,3,2,'plant','13',NULL);
INSERT INTO "care_log_refs" VALUES(1,3,3,'plant','15',NULL);
INSERT INTO "care_log_refs" VALUES(1,3,4,'plant','16',NULL);
INSERT INTO "care_log_refs" VALUES(1,3,5,'plant','17',NULL);
INSERT INTO "care_log_refs" VALUES(1,3,6,'plant','18',NULL);
INSERT INTO "care_log_refs" VALUES(1,4,0,'some','3d48f74b57134a2f',4);
INSERT INTO "care_log_refs" VALUES(1,5,0,'some','3d48f74b57134a2f',4);
INSERT INTO "care_log_refs" VALUES(1,6,0,'plant','15',NULL);
INSERT INTO "care_log_refs" VALUES(1,7,0,'sowing','S1',NULL);
INSERT INTO "care_log_refs" VALUES(1,8,0,'plant','13',NULL);
CREATE TABLE chats (
	id INTEGER NOT NULL, 
	transport TEXT NOT NULL, 
	address TEXT NOT NULL, 
	person_id INTEGER NOT NULL, 
	collection_id INTEGER NOT NULL, 
	talk TEXT NOT NULL, 
	CONSTRAINT pk_chats PRIMARY KEY (id), 
	CONSTRAINT fk_chats_collection_id FOREIGN KEY(collection_id) REFERENCES collections (id), 
	CONSTRAINT fk_chats_person_id FOREIGN KEY(person_id) REFERENCES people (id), 
	CONSTRAINT uq_chats_transport_address UNIQUE (transport, address)
);
INSERT INTO "chats" VALUES(1,'terminal','local',1,1,'{"at":"2026-04-06T10:00:00+00:00","cautioned":{},"listed":["dry|2026-04-01|bench 2|9|plastic|half"],"morning":"","note":7,"place":"","refs":[["plant","13",null]],"shown":1}');
CREATE TABLE checkpoint (
	collection_id INTEGER NOT NULL, 
	reach TEXT NOT NULL, 
	day DATE NOT NULL, 
	sequence BIGINT NOT NULL, 
	version INTEGER NOT NULL, 
	extras TEXT NOT NULL, 
	rows TEXT NOT NULL, 
	CONSTRAINT pk_checkpoint PRIMARY KEY (collection_id, reach), 
	CONSTRAINT fk_checkpoint_collection_id FOREIGN KEY(collection_id) REFERENCES collections (id)
);
CREATE TABLE collections (
	id INTEGER NOT NULL, 
	public_id TEXT NOT NULL, 
	settings TEXT NOT NULL, 
	CONSTRAINT pk_collections PRIMARY KEY (id), 
	CONSTRAINT uq_collections_public_id UNIQUE (public_id)
);
INSERT INTO "collections" VALUES(1,'KH57AnsQibeIsQ03','{"date_order":"dmy","extra":{},"floor_c":null,"language":"en","latitude":null,"longitude":null,"morning_time":"07:30:00","name":"","normals":[],"units":"metric","zone":"Etc/UTC"}');
CREATE TABLE due (
	collection_id INTEGER NOT NULL, 
	"key" TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	"on" DATE NOT NULL, 
	until DATE, 
	place TEXT NOT NULL, 
	body TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	made_on DATE NOT NULL, 
	CONSTRAINT pk_due PRIMARY KEY (collection_id, "key"), 
	CONSTRAINT fk_due_collection_id FOREIGN KEY(collection_id) REFERENCES collections (id)
)
 WITHOUT ROWID

;
INSERT INTO "due" VALUES(1,'dry|2026-04-01|bench 2|9|plastic|half','dry_look','2026-04-06','2026-04-17','bench 2','{"about":"","refs":[["plant","12",null],["plant","15",null],["plant","16",null],["plant","17",null],["plant","18",null]],"why":{"assumed":true,"days":8,"factor":1.0,"high":16,"kinds":{"filled":2,"guess":6},"low":4,"mark":"project default","material":"plastic","max_c":20.151153616672854,"min_c":4.0,"mix":"half","pot_cm":9.0,"quantity":"drying","reports":0,"rh":77.0,"rh_assumed":true,"since":"2026-04-01","source":"class parameters chosen with two practice anchors in view","spread":1.992,"target":18.6,"unit":"mm","value":11.9}}',3,'2026-04-06');
INSERT INTO "due" VALUES(1,'dry|2026-04-05|bench 2|9|plastic|half','dry_look','2026-04-10','2026-04-20','bench 2','{"about":"","refs":[["plant","13",null]],"why":{"assumed":true,"days":8,"factor":1.0,"high":15,"kinds":{"guess":8},"low":4,"mark":"project default","material":"plastic","max_c":20.712202696729285,"min_c":11.691823596212329,"mix":"half","pot_cm":9.0,"quantity":"drying","reports":0,"rh":77.0,"rh_assumed":true,"since":"2026-04-05","source":"class parameters chosen with two practice anchors in view","spread":1.992,"target":18.6,"unit":"mm","value":2.3}}',3,'2026-04-06');
INSERT INTO "due" VALUES(1,'dry|2026-04-06||9|plastic|half','dry_look','2026-04-11','2026-04-21','','{"about":"","refs":[["some","3d48f74b57134a2f",4]],"why":{"assumed":true,"days":8,"factor":1.0,"high":15,"kinds":{"guess":8},"low":4,"mark":"project default","material":"plastic","max_c":20.85206990291731,"min_c":11.765874584473174,"mix":"half","pot_cm":9.0,"quantity":"drying","reports":0,"rh":77.0,"rh_assumed":true,"since":"2026-04-06","source":"class parameters chosen with two practice anchors in view","spread":1.992,"target":18.6,"unit":"mm","value":0.0}}',3,'2026-04-06');
INSERT INTO "due" VALUES(1,'look|87d85169bfce4d84|2026-04-06','pest_look','2026-04-15','2026-04-21','','{"about":"spider_mite","refs":[["some","3d48f74b57134a2f",4]],"why":{"above_c":10.18,"all_clear":"2026-05-10","clean_looks":0,"cold":false,"confidence":"high","dormant":false,"early":true,"kinds":{"guess":34},"late":false,"latest":"2026-04-21","mark":"derived","pest":"spider_mite","quantity":"degree-days","retreat_dd":65.0,"since":"2026-04-06","source":"Centre of 8 egg regressions refitted to T0 11: Herbert 1981, Can. Entomol. 113:371-378; Zhou et al. 2003; Bounfour & Tanigoshi 2001, Ann. Entomol. Soc. Am.; Liang et al. 2007; Carey & Bradley 1982; Lu et al. 2002; Hu et al. 2005 (all T0, K in Jarosik, Honek, Magarey & Skuhrovec 2011, J. Econ. Entomol. 104:1870 (doi 10.1603/EC11247; T0=-a/b, K=1/b, as in R package devRate, campbell_74)); Egypt. Acad. J. Biol. Sci. B, article 12844 abstract. Upper: UMass Extension, Greenhouse Updates, 19 May 2020 (declines above 86 F, stops at 104 F)","suspected":false,"target":52.0,"trade":[5,10],"treated":false,"unit":"degree-days","unsure":false,"value":0}}',3,'2026-04-06');
INSERT INTO "due" VALUES(1,'sowing|S1|2026-04-13','sowing_look','2026-04-13',NULL,'','{"about":"","refs":[["sowing","S1",null]],"why":{"mark":"common practice","quantity":"days","rule":"7, 14 and 21 days, then weekly","since":"2026-04-06","sown":30,"up":0}}',3,'2026-04-06');
CREATE TABLE inbox (
	id INTEGER NOT NULL, 
	source TEXT NOT NULL, 
	update_key TEXT NOT NULL, 
	transport TEXT NOT NULL, 
	address TEXT NOT NULL, 
	sender TEXT NOT NULL, 
	text TEXT NOT NULL, 
	sent_at BIGINT NOT NULL, 
	message_key TEXT NOT NULL, 
	reply_to TEXT NOT NULL, 
	raw TEXT NOT NULL, 
	got_at BIGINT NOT NULL, 
	state TEXT NOT NULL, 
	done_at BIGINT, 
	attempts INTEGER NOT NULL, 
	leased_by TEXT, 
	leased_until BIGINT, 
	error TEXT, 
	CONSTRAINT pk_inbox PRIMARY KEY (id), 
	CONSTRAINT ck_inbox_state CHECK (state IN ('open', 'done', 'poison')), 
	CONSTRAINT uq_inbox_source_update_key UNIQUE (source, update_key)
);
INSERT INTO "inbox" VALUES(1,'terminal','fbe96fe9da7a4f38bbae4648841aa127','terminal','local','local','moved 12-18 to bench 2',1775034000000000,'fbe96fe9da7a4f38bbae4648841aa127','','',1775034000000000,'done',1775034000000000,0,NULL,NULL,NULL);
INSERT INTO "inbox" VALUES(2,'terminal','284fe286e7ce48a9af9cab9a76df9696','terminal','local','local','min 4 max 19',1775034000000000,'284fe286e7ce48a9af9cab9a76df9696','','',1775034000000000,'done',1775034000000000,0,NULL,NULL,NULL);
INSERT INTO "inbox" VALUES(3,'terminal','b2e74790304942a0bc0d7dfd61364832','terminal','local','local','watered bench 2 except 14',1775034000000000,'b2e74790304942a0bc0d7dfd61364832','','',1775034000000000,'done',1775034000000000,0,NULL,NULL,NULL);
INSERT INTO "inbox" VALUES(4,'terminal','42164edd861f4af8baaecf560c52c935','terminal','local','local','soaked four, mites found',1775469600000000,'42164edd861f4af8baaecf560c52c935','','',1775469600000000,'done',1775469600000000,0,NULL,NULL,NULL);
INSERT INTO "inbox" VALUES(5,'terminal','e5e5e4052d4d4da697847d3ec5925065','terminal','local','local','call 15 old tom',1775469600000000,'e5e5e4052d4d4da697847d3ec5925065','','',1775469600000000,'done',1775469600000000,0,NULL,NULL,NULL);
INSERT INTO "inbox" VALUES(6,'terminal','e3a1f16eb558410a9a584d52801f8438','terminal','local','local','sown 30 lobivia',1775469600000000,'e3a1f16eb558410a9a584d52801f8438','','',1775469600000000,'done',1775469600000000,0,NULL,NULL,NULL);
INSERT INTO "inbox" VALUES(7,'terminal','61df23aba79a4ac681e597dbf69f6f26','terminal','local','local','watered 13 yesterday',1775469600000000,'61df23aba79a4ac681e597dbf69f6f26','','',1775469600000000,'done',1775469600000000,0,NULL,NULL,NULL);
INSERT INTO "inbox" VALUES(8,'terminal','3b53e7341e41434e83bc0780a9e2a469','terminal','local','local','whats due',1775469600000000,'3b53e7341e41434e83bc0780a9e2a469','','',1775469600000000,'done',1775469600000000,0,NULL,NULL,NULL);
CREATE TABLE marks (
	name TEXT NOT NULL, 
	moment BIGINT NOT NULL, 
	CONSTRAINT pk_marks PRIMARY KEY (name)
);
CREATE TABLE members (
	collection_id INTEGER NOT NULL, 
	person_id INTEGER NOT NULL, 
	role TEXT NOT NULL, 
	CONSTRAINT pk_members PRIMARY KEY (collection_id, person_id), 
	CONSTRAINT ck_members_role CHECK (role IN ('owner', 'helper', 'guest')), 
	CONSTRAINT fk_members_collection_id FOREIGN KEY(collection_id) REFERENCES collections (id), 
	CONSTRAINT fk_members_person_id FOREIGN KEY(person_id) REFERENCES people (id)
);
INSERT INTO "members" VALUES(1,1,'owner');
CREATE TABLE notes (
	id INTEGER NOT NULL, 
	inbox_id INTEGER, 
	collection_id INTEGER NOT NULL, 
	person_id INTEGER NOT NULL, 
	chat_id INTEGER NOT NULL, 
	text TEXT NOT NULL, 
	sent_at BIGINT NOT NULL, 
	reading TEXT NOT NULL, 
	decision TEXT NOT NULL, 
	ask TEXT, 
	choices TEXT NOT NULL, 
	question_state TEXT NOT NULL, 
	CONSTRAINT pk_notes PRIMARY KEY (id), 
	CONSTRAINT fk_notes_chat_id FOREIGN KEY(chat_id) REFERENCES chats (id), 
	CONSTRAINT fk_notes_collection_id FOREIGN KEY(collection_id) REFERENCES collections (id), 
	CONSTRAINT fk_notes_inbox_id FOREIGN KEY(inbox_id) REFERENCES inbox (id), 
	CONSTRAINT fk_notes_person_id FOREIGN KEY(person_id) REFERENCES people (id), 
	CONSTRAINT uq_notes_inbox_id UNIQUE (inbox_id)
);
INSERT INTO "notes" VALUES(1,1,1,1,1,'moved 12-18 to bench 2',1775034000000000,'{"ask":null,"decision":"log","entries":[{"act":"moved","details":{"to":"bench 2"},"type":"event","which":{"labels":["12","13","14","15","16","17","18"]}}]}','log',NULL,'{}','');
INSERT INTO "notes" VALUES(2,2,1,1,1,'min 4 max 19',1775034000000000,'{"ask":null,"decision":"log","entries":[{"max_c":19.0,"min_c":4.0,"type":"climate"}]}','log',NULL,'{}','');
INSERT INTO "notes" VALUES(3,3,1,1,1,'watered bench 2 except 14',1775034000000000,'{"ask":null,"decision":"log","entries":[{"act":"watered","type":"event","which":{"except":{"labels":["14"]},"places":["bench 2"]}}]}','log',NULL,'{}','');
INSERT INTO "notes" VALUES(4,4,1,1,1,'soaked four, mites found',1775469600000000,'{"ask":"which","decision":"log_ask","entries":[{"act":"watered","details":{"how":"soak"},"type":"event","which":{"count":4}},{"sign":"spider_mite","status":"present","type":"finding"}]}','log_ask','which','{"notes":[],"on":"2026-04-06","refs":[],"text":"soaked four, mites found"}','open');
INSERT INTO "notes" VALUES(5,5,1,1,1,'call 15 old tom',1775469600000000,'{"ask":null,"decision":"do","entries":[{"do":"teach","text":"call 15 old tom","to":"old tom","type":"request","which":{"labels":["15"]}}]}','do',NULL,'{}','');
INSERT INTO "notes" VALUES(6,6,1,1,1,'sown 30 lobivia',1775469600000000,'{"ask":null,"decision":"log","entries":[{"act":"sown","details":{"sown":30},"type":"event","which":{"taxa":["lobivia"]}}]}','log',NULL,'{}','');
INSERT INTO "notes" VALUES(7,7,1,1,1,'watered 13 yesterday',1775469600000000,'{"ask":null,"decision":"log","entries":[{"act":"watered","type":"event","when":"2026-04-05","which":{"labels":["13"]}}]}','log',NULL,'{}','');
INSERT INTO "notes" VALUES(8,8,1,1,1,'whats due',1775469600000000,'{"ask":null,"decision":"answer","entries":[{"about":"due","type":"question"}]}','answer',NULL,'{}','');
CREATE TABLE outbox (
	id INTEGER NOT NULL, 
	dedup_key TEXT NOT NULL, 
	chat_id INTEGER NOT NULL, 
	note_id INTEGER, 
	kind TEXT NOT NULL, 
	text TEXT NOT NULL, 
	buttons TEXT NOT NULL, 
	created_at BIGINT NOT NULL, 
	send_after BIGINT NOT NULL, 
	ready_at BIGINT NOT NULL, 
	state TEXT NOT NULL, 
	attempts INTEGER NOT NULL, 
	sent_key TEXT, 
	sent_at BIGINT, 
	error TEXT, listed TEXT, 
	CONSTRAINT pk_outbox PRIMARY KEY (id), 
	CONSTRAINT fk_outbox_chat_id FOREIGN KEY(chat_id) REFERENCES chats (id), 
	CONSTRAINT fk_outbox_note_id FOREIGN KEY(note_id) REFERENCES notes (id), 
	CONSTRAINT ck_outbox_state CHECK (state IN ('waiting', 'sent', 'failed')), 
	CONSTRAINT uq_outbox_dedup_key UNIQUE (dedup_key)
);
INSERT INTO "outbox" VALUES(1,'reply:1',1,1,'reply','Moved 12-18 to bench 2. (12-18 are new to me.)','[[["undo","undo"]]]',1775034000000000,1775034000000000,1775034060000000,'sent',1,'terminal:1',1775034000000000,NULL,'[]');
INSERT INTO "outbox" VALUES(2,'reply:2',1,2,'reply','Noted: min 4 °C, max 19 °C.','[[["undo","undo"]]]',1775034000000000,1775034000000000,1775034060000000,'sent',1,'terminal:2',1775034000000000,NULL,'[]');
INSERT INTO "outbox" VALUES(3,'reply:3',1,3,'reply','Watered bench 2 except 14.
Drying-off check Tue 7 Apr (dry in 5 to 19 days).','[[["undo","undo"]]]',1775034000000000,1775034000000000,1775034060000000,'sent',1,'terminal:3',1775034000000000,NULL,'[]');
INSERT INTO "outbox" VALUES(4,'reply:4',1,4,'reply','Soaked 4 plants. Spider mites noted.
Set them apart. Look again Wed 15 Apr, when the first eggs may have hatched, treat by 21 Apr (52 degree-days above 10.2 °C, temperatures guessed). Drying-off check Sat 11 Apr (dry in 4 to 15 days).
Which four?','[[["bench 2","bench 2"]],[["undo","undo"]]]',1775469600000000,1775469600000000,1775469660000000,'sent',1,'terminal:4',1775469600000000,NULL,'[]');
INSERT INTO "outbox" VALUES(5,'reply:5',1,5,'reply','15 is now “old tom”.','[[["undo","undo"]]]',1775469600000000,1775469600000000,1775469660000000,'sent',1,'terminal:5',1775469600000000,NULL,'[]');
INSERT INTO "outbox" VALUES(6,'reply:6',1,6,'reply','Sown S1 (Lobivia), 30 seeds.
Look for seedlings Mon 13 Apr.','[[["undo","undo"]]]',1775469600000000,1775469600000000,1775469660000000,'sent',1,'terminal:6',1775469600000000,NULL,'[]');
INSERT INTO "outbox" VALUES(7,'reply:7',1,7,'reply','Watered 13, yesterday.
Drying-off check Fri 10 Apr (dry in 4 to 15 days).','[[["undo","undo"]]]',1775469600000000,1775469600000000,1775469660000000,'sent',1,'terminal:7',1775469600000000,NULL,'[]');
INSERT INTO "outbox" VALUES(8,'reply:8',1,8,'reply','1. drying-off check: 12 and 15-18 on bench 2 (dry in 4 to 16 days, by 17 Apr)
3 more within a week: “whats due this week”.','[]',1775469600000000,1775469600000000,1775469660000000,'sent',1,'terminal:8',1775469600000000,NULL,'["dry|2026-04-01|bench 2|9|plastic|half"]');
CREATE TABLE people (
	id INTEGER NOT NULL, 
	public_id TEXT NOT NULL, 
	CONSTRAINT pk_people PRIMARY KEY (id), 
	CONSTRAINT uq_people_public_id UNIQUE (public_id)
);
INSERT INTO "people" VALUES(1,'hHqEQiZlqHo7K7vF');
CREATE TABLE photos (
	id INTEGER NOT NULL, 
	public_id TEXT NOT NULL, 
	collection_id INTEGER NOT NULL, 
	chat_id INTEGER NOT NULL, 
	inbox_id INTEGER NOT NULL, 
	note_id INTEGER, 
	event TEXT, 
	file_key TEXT NOT NULL, 
	album TEXT NOT NULL, 
	taken_on DATE NOT NULL, 
	refs TEXT NOT NULL, 
	state TEXT NOT NULL, 
	ready_at BIGINT NOT NULL, 
	attempts INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	error TEXT, 
	CONSTRAINT pk_photos PRIMARY KEY (id), 
	CONSTRAINT ck_photos_state CHECK (state IN ('waiting', 'kept', 'refused')), 
	CONSTRAINT fk_photos_collection_id FOREIGN KEY(collection_id) REFERENCES collections (id), 
	CONSTRAINT fk_photos_chat_id FOREIGN KEY(chat_id) REFERENCES chats (id), 
	CONSTRAINT fk_photos_inbox_id FOREIGN KEY(inbox_id) REFERENCES inbox (id), 
	CONSTRAINT fk_photos_note_id FOREIGN KEY(note_id) REFERENCES notes (id), 
	CONSTRAINT uq_photos_public_id UNIQUE (public_id), 
	CONSTRAINT uq_photos_inbox_id UNIQUE (inbox_id)
);
CREATE TABLE projection (
	collection_id INTEGER NOT NULL, 
	sequence BIGINT NOT NULL, 
	version INTEGER NOT NULL, 
	CONSTRAINT pk_projection PRIMARY KEY (collection_id), 
	CONSTRAINT fk_projection_collection_id FOREIGN KEY(collection_id) REFERENCES collections (id)
);
INSERT INTO "projection" VALUES(1,8,3);
CREATE TABLE share_opens (
	id INTEGER NOT NULL, 
	collection_id INTEGER NOT NULL, 
	share_id INTEGER NOT NULL, 
	opened_at BIGINT NOT NULL, 
	way TEXT NOT NULL, 
	CONSTRAINT pk_share_opens PRIMARY KEY (id), 
	CONSTRAINT fk_share_opens_collection_id FOREIGN KEY(collection_id) REFERENCES collections (id), 
	CONSTRAINT fk_share_opens_share_id FOREIGN KEY(share_id) REFERENCES shares (id)
);
CREATE TABLE shares (
	id INTEGER NOT NULL, 
	collection_id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	digest TEXT NOT NULL, 
	partner TEXT NOT NULL, 
	shown TEXT NOT NULL, 
	until DATE, 
	made_at BIGINT NOT NULL, 
	ended_at BIGINT, 
	CONSTRAINT pk_shares PRIMARY KEY (id), 
	CONSTRAINT fk_shares_collection_id FOREIGN KEY(collection_id) REFERENCES collections (id), 
	CONSTRAINT uq_shares_digest UNIQUE (digest), 
	CONSTRAINT uq_shares_number UNIQUE (collection_id, number)
);
CREATE TABLE sheets (
	id INTEGER NOT NULL, 
	collection_id INTEGER NOT NULL, 
	chat_id INTEGER NOT NULL, 
	inbox_id INTEGER NOT NULL, 
	file_key TEXT NOT NULL, 
	name TEXT NOT NULL, 
	told TEXT NOT NULL, 
	content TEXT NOT NULL, 
	state TEXT NOT NULL, 
	ready_at BIGINT NOT NULL, 
	attempts INTEGER NOT NULL, 
	CONSTRAINT pk_sheets PRIMARY KEY (id), 
	CONSTRAINT ck_sheets_state CHECK (state IN ('waiting', 'open', 'done')), 
	CONSTRAINT fk_sheets_collection_id FOREIGN KEY(collection_id) REFERENCES collections (id), 
	CONSTRAINT fk_sheets_chat_id FOREIGN KEY(chat_id) REFERENCES chats (id), 
	CONSTRAINT fk_sheets_inbox_id FOREIGN KEY(inbox_id) REFERENCES inbox (id), 
	CONSTRAINT uq_sheets_inbox_id UNIQUE (inbox_id)
);
CREATE TABLE standing (
	collection_id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	"key" TEXT NOT NULL, 
	body TEXT NOT NULL, 
	CONSTRAINT pk_standing PRIMARY KEY (collection_id, kind, "key"), 
	CONSTRAINT fk_standing_collection_id FOREIGN KEY(collection_id) REFERENCES collections (id)
)
 WITHOUT ROWID

;
INSERT INTO "standing" VALUES(1,'case','87d85169bfce4d84','{"day0":"2026-04-06","finds":["2026-04-06"],"key":"87d85169bfce4d84","opened_on":"2026-04-06","refs":[["some","3d48f74b57134a2f",4]],"sequence":5,"sign":"spider_mite"}');
INSERT INTO "standing" VALUES(1,'fold','','{"last_on":"2026-04-06","last_sequence":8}');
INSERT INTO "standing" VALUES(1,'place','bench 2','{"first_on":"2026-04-01","key":"bench 2","kind":"place","last":{"watered":"2026-04-01"},"soak":{"event":"ce85f72996524c50","except":[{"labels":["14"]}]},"soaked_on":"2026-04-01","status":"alive"}');
INSERT INTO "standing" VALUES(1,'plant','12','{"count":1,"first_on":"2026-04-01","key":"12","kind":"plant","last":{"moved":"2026-04-01","watered":"2026-04-01"},"place":"bench 2","soak":{"event":"ce85f72996524c50","except":[{"labels":["14"]}]},"soaked_on":"2026-04-01","status":"alive"}');
INSERT INTO "standing" VALUES(1,'plant','13','{"count":1,"first_on":"2026-04-01","key":"13","kind":"plant","last":{"moved":"2026-04-01","watered":"2026-04-05"},"place":"bench 2","soak":{"event":"a8a13506b83843bc"},"soaked_on":"2026-04-05","status":"alive"}');
INSERT INTO "standing" VALUES(1,'plant','14','{"count":1,"first_on":"2026-04-01","key":"14","kind":"plant","last":{"moved":"2026-04-01"},"place":"bench 2","status":"alive"}');
INSERT INTO "standing" VALUES(1,'plant','15','{"count":1,"first_on":"2026-04-01","key":"15","kind":"plant","last":{"moved":"2026-04-01","watered":"2026-04-01"},"nickname":"old tom","place":"bench 2","soak":{"event":"ce85f72996524c50","except":[{"labels":["14"]}]},"soaked_on":"2026-04-01","status":"alive"}');
INSERT INTO "standing" VALUES(1,'plant','16','{"count":1,"first_on":"2026-04-01","key":"16","kind":"plant","last":{"moved":"2026-04-01","watered":"2026-04-01"},"place":"bench 2","soak":{"event":"ce85f72996524c50","except":[{"labels":["14"]}]},"soaked_on":"2026-04-01","status":"alive"}');
INSERT INTO "standing" VALUES(1,'plant','17','{"count":1,"first_on":"2026-04-01","key":"17","kind":"plant","last":{"moved":"2026-04-01","watered":"2026-04-01"},"place":"bench 2","soak":{"event":"ce85f72996524c50","except":[{"labels":["14"]}]},"soaked_on":"2026-04-01","status":"alive"}');
INSERT INTO "standing" VALUES(1,'plant','18','{"count":1,"first_on":"2026-04-01","key":"18","kind":"plant","last":{"moved":"2026-04-01","watered":"2026-04-01"},"place":"bench 2","soak":{"event":"ce85f72996524c50","except":[{"labels":["14"]}]},"soaked_on":"2026-04-01","status":"alive"}');
INSERT INTO "standing" VALUES(1,'readings','|2026','{"readings":[{"max_c":19.0,"min_c":4.0,"on":"2026-04-01"}]}');
INSERT INTO "standing" VALUES(1,'some','3d48f74b57134a2f','{"first_on":"2026-04-06","key":"3d48f74b57134a2f","kind":"some","last":{"present:spider_mite":"2026-04-06","watered":"2026-04-06"},"soak":{"count":4,"event":"d6a8d9099bba4639","how":"soak"},"soaked_on":"2026-04-06","status":"alive"}');
INSERT INTO "standing" VALUES(1,'sowing','S1','{"came_on":"2026-04-06","first_on":"2026-04-06","key":"S1","kind":"sowing","last":{"sown":"2026-04-06"},"names":[{"by":"","name":"Lobivia","on":"2026-04-06","sure":true}],"status":"alive","tally":{"sown":30}}');
CREATE INDEX ix_accounts_person_id ON accounts (person_id);
CREATE INDEX ix_members_person_id ON members (person_id);
CREATE INDEX ix_chats_collection_id ON chats (collection_id);
CREATE INDEX ix_chats_person_id ON chats (person_id);
CREATE INDEX ix_inbox_message ON inbox (transport, address, message_key);
CREATE INDEX ix_inbox_open ON inbox (transport, address, id) WHERE state = 'open';
CREATE INDEX ix_inbox_open_in_order ON inbox (id) WHERE state = 'open';
CREATE INDEX ix_notes_chat ON notes (chat_id, id);
CREATE INDEX ix_notes_journal ON notes (collection_id, sent_at);
CREATE UNIQUE INDEX ix_notes_open_question ON notes (chat_id) WHERE question_state = 'open';
CREATE INDEX ix_care_log_note_id ON care_log (note_id);
CREATE INDEX ix_care_log_refs_thing ON care_log_refs (collection_id, kind, "key", sequence);
CREATE INDEX ix_due_on ON due (collection_id, "on", "key");
CREATE INDEX ix_outbox_note_id ON outbox (note_id);
CREATE INDEX ix_outbox_sent_key ON outbox (chat_id, sent_key);
CREATE INDEX ix_outbox_waiting ON outbox (ready_at) WHERE state = 'waiting';
CREATE INDEX ix_outbox_waiting_in_chat ON outbox (chat_id, send_after, id) WHERE state = 'waiting';
CREATE TRIGGER care_log_no_update BEFORE UPDATE ON care_log BEGIN SELECT RAISE(ABORT, 'the care log is append-only'); END;
CREATE TRIGGER care_log_no_delete BEFORE DELETE ON care_log BEGIN SELECT RAISE(ABORT, 'the care log is append-only'); END;
CREATE TRIGGER care_log_refs_no_update BEFORE UPDATE ON care_log_refs BEGIN SELECT RAISE(ABORT, 'the care log is append-only'); END;
CREATE TRIGGER care_log_refs_no_delete BEFORE DELETE ON care_log_refs BEGIN SELECT RAISE(ABORT, 'the care log is append-only'); END;
CREATE INDEX ix_photos_chat ON photos (chat_id, id);
CREATE INDEX ix_photos_collection ON photos (collection_id, taken_on);
CREATE INDEX ix_photos_state ON photos (state, ready_at);
CREATE INDEX ix_photos_note_id ON photos (note_id);
CREATE INDEX ix_care_log_day ON care_log (collection_id, happened_on);
CREATE INDEX ix_sheets_state ON sheets (state, ready_at);
CREATE INDEX ix_sheets_chat ON sheets (chat_id, state);
CREATE INDEX ix_share_opens_share_id ON share_opens (share_id, opened_at);
COMMIT;
