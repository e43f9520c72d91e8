"""Paths of this room's pages."""

from django.urls import path

from fleet.pages import (
    air,
    board,
    calendar,
    calendars,
    comparing,
    counter,
    devices,
    drill_card,
    drills,
    erase,
    events,
    failures,
    firmware,
    folder,
    install_codes,
    keep_rules,
    keeping,
    leaving,
    logs,
    mesh,
    messages,
    next_swaps,
    passages,
    people,
    plans,
    replacements,
    restore,
    rounds,
    shelf,
    snapshot,
    storm,
    swap_card,
    travel,
    tray,
    tray_guide,
    tray_item,
    visits,
    what_if,
)

board_urls = [
    path("", board.board, name="board"),
    path("leaving/", leaving.leavings, name="leavings"),
]

client_urls = [
    path("<uuid:uid>/erase/", erase.erase, name="client-erase"),
    path("<uuid:uid>/keeping/", keeping.client_keeping, name="client-keeping"),
]

home_urls = [
    path("<str:code>/", folder.folder, name="folder"),
    path("<str:code>/meshes/new/", mesh.new_mesh, name="mesh-new"),
    path("<str:code>/agreements/<int:pk>/end/", leaving.leaving, name="leaving"),
    path("<str:code>/agreements/<int:pk>/end/<str:step>/", leaving.tick, name="leaving-tick"),
]

mesh_urls = [
    path("<str:code>/", mesh.mesh, name="mesh"),
    path("<str:code>/change/", mesh.change_mesh, name="mesh-change"),
    path("<str:code>/air/", air.air, name="air"),
    path("<str:code>/air/nothing/", air.nothing_heard, name="air-nothing"),
    path("<str:code>/air/<int:pk>/strike/", air.strike, name="air-strike"),
    path("<str:code>/calendar/", calendar.calendar, name="calendar"),
    path("<str:code>/compare/", comparing.comparison, name="compare"),
    path("<str:code>/counter/", counter.counter, name="counter"),
    path("<str:code>/keeping/", keeping.mesh_keeping, name="mesh-keeping"),
    path("<str:code>/keeping/all/", keeping.keep_all, name="keep-all"),
    path("<str:code>/keeping/hold/", keeping.hold_mesh, name="mesh-hold"),
    path("<str:code>/drill/", drill_card.new, name="drill-new"),
    path("<str:code>/replacement/", replacements.new, name="replacement-new"),
    path("<str:code>/restore/", restore.restore, name="restore"),
    path("<str:code>/snapshots/", snapshot.upload, name="snapshot-upload"),
    path("<str:code>/devices/", devices.devices, name="devices"),
    path("<str:code>/devices/<str:address>/", devices.device, name="device"),
    path("<str:code>/devices/<str:address>/change/", devices.change_device, name="device-change"),
    path("<str:code>/devices/<str:address>/code/", install_codes.enter, name="code-enter"),
    path("<str:code>/devices/<str:address>/code/show/", install_codes.show, name="code-show"),
    path("<str:code>/devices/<str:address>/code/forget/", install_codes.forget, name="code-forget"),
    path("<str:code>/tokens/", mesh.make_token, name="token-make"),
    path("<str:code>/tokens/<int:pk>/end/", mesh.end_token, name="token-end"),
]

snapshot_urls = [
    path("<uuid:uid>/", snapshot.snapshot, name="snapshot"),
    path("<uuid:uid>/keep/", keeping.keep_copy, name="copy-keep"),
]

replacement_urls = [
    path("replacements/", replacements.replacements, name="replacements"),
    path("replacements/<uuid:uid>/", swap_card.card, name="replacement"),
    path("replacements/<uuid:uid>/plan/", swap_card.plan, name="replacement-plan"),
    path("replacements/<uuid:uid>/write/", swap_card.write, name="replacement-write"),
    path("replacements/<uuid:uid>/devices/<int:pk>/", swap_card.tick, name="replacement-tick"),
    path("replacements/<uuid:uid>/photos/<int:pk>/", swap_card.photo, name="replacement-photo"),
    path("replacements/<uuid:uid>/<str:to>/", swap_card.step, name="replacement-step"),
]

drill_urls = [
    path("drills/", drills.drills, name="drills"),
    path("drills/lots/", drills.draw, name="drill-draw"),
    path("drills/lots/<str:month>/", drills.lots, name="drill-lots"),
    path("drills/<uuid:uid>/", drill_card.card, name="drill"),
    path("drills/<uuid:uid>/write/", drill_card.write, name="drill-write"),
    path("drills/<uuid:uid>/steps/<str:name>/", drill_card.step, name="drill-step"),
    path("drills/<uuid:uid>/end/<str:how>/", drill_card.finish, name="drill-end"),
]

radio_urls = [
    path("radios/", shelf.shelf, name="shelf"),
    path("radios/<str:code>/", shelf.radio, name="radio"),
    path("radios/<str:code>/move/", shelf.move, name="radio-move"),
    path("radios/<str:code>/where/", shelf.where, name="radio-where"),
    path("radios/<str:code>/blank/", shelf.blank, name="radio-blank"),
    path("radios/<str:code>/state/", shelf.state, name="radio-state"),
    path("radios/<str:code>/firmware/", shelf.firmware, name="radio-firmware"),
]

firmware_urls = [
    path("firmware/", firmware.firmware, name="firmware"),
    path("firmware/builds/<int:pk>/", firmware.build, name="firmware-build"),
    path("firmware/builds/<int:pk>/policy/", firmware.policy, name="firmware-policy"),
    path("firmware/builds/<int:pk>/order/", firmware.order, name="firmware-order"),
    path("firmware/models/<str:code>/", firmware.model, name="firmware-model"),
    path("firmware/models/<str:code>/numbering/", firmware.numbering, name="firmware-numbering"),
    path("firmware/models/<str:code>/enter/", firmware.enter, name="firmware-enter"),
    path("firmware/models/<str:code>/begin/", firmware.begin_passage, name="firmware-begin"),
    path("firmware/passages/<uuid:uid>/", passages.passage, name="passage"),
    path("firmware/passages/<uuid:uid>/units/<int:pk>/", passages.updated, name="passage-unit"),
    path("firmware/passages/<uuid:uid>/<str:what>/", passages.act, name="passage-act"),
    path("failures/", failures.failures, name="failures"),
    path("failures/dead/", failures.dead, name="failure-dead"),
    path("failures/<str:code>/claim/", failures.claim, name="failure-claim"),
]

keep_urls = [
    path("keep-rules/", keep_rules.rules, name="keep-rules"),
    path("keep-rules/new/", keep_rules.new_rule, name="keep-rule-new"),
    path("keep-rules/marked/", keep_rules.marked, name="marked"),
    path("keep-rules/<int:pk>/", keep_rules.rule, name="keep-rule"),
    path("pins/<int:pk>/end/", keeping.end_pin, name="pin-end"),
]

log_urls = [
    path("tray/", tray.tray, name="tray"),
    path("tray/<uuid:uid>/", tray_item.item, name="tray-item"),
    path("tray/<uuid:uid>/guide/", tray_guide.guide, name="tray-guide"),
    path("tray/<uuid:uid>/clear/", tray_item.clear, name="tray-clear"),
    path("tray/<uuid:uid>/send/", tray_item.send, name="tray-send"),
    path("rounds/", rounds.rounds, name="rounds"),
    path("rounds/start/", rounds.start, name="round-start"),
    path("rounds/<int:pk>/", rounds.round_, name="round"),
    path("rounds/<int:pk>/stop/", rounds.stop, name="round-stop"),
    path("journal/", logs.journal, name="journal"),
]

next_swap_urls = [
    path("next-swaps/", next_swaps.next_swaps, name="next-swaps"),
    path("next-swaps/anew/", next_swaps.anew, name="next-swaps-anew"),
    path("next-swaps/support/", next_swaps.support, name="next-swaps-support"),
    path("next-swaps/<str:code>/ask/", next_swaps.ask_for, name="next-swaps-ask"),
    path("storm/", storm.storm, name="storm"),
    path("storm/<int:pk>/", storm.answer, name="storm-answer"),
]

supposing_urls = [
    path("what-if/", what_if.what_if, name="what-if"),
    path("what-if/<int:pk>/", what_if.answer, name="what-if-answer"),
]

people_urls = [
    path("people/", people.people, name="people"),
    path("people/<str:username>/", people.person, name="person"),
    path("people/<str:username>/hours/", people.hours, name="person-hours"),
    path("people/<str:username>/base/", people.base, name="person-base"),
    path("people/<str:username>/licences/", people.licence, name="person-licence"),
    path(
        "people/<str:username>/licences/<int:pk>/strike/", people.strike_licence, name="person-licence-strike"
    ),
    path("people/<str:username>/off/", people.off, name="person-off"),
    path("people/<str:username>/off/<int:pk>/strike/", people.strike_off, name="person-off-strike"),
    path("people/<str:username>/skills/", people.skills, name="person-skills"),
    path("people/<str:username>/calendar/", calendars.make, name="calendar-make"),
    path("people/<str:username>/calendar/end/", calendars.end, name="calendar-end"),
    path("calendar.ics", calendars.feed, name="calendar-feed"),
    path("travel/", travel.travel, name="travel"),
    path("travel/use/", travel.use, name="travel-use"),
    path("travel/end/", travel.end, name="travel-end"),
]

told_urls = [
    path("messages/", messages.messages, name="messages"),
    path("messages/<int:pk>/", messages.message, name="message"),
    path("messages/<int:pk>/again/", messages.send_again, name="message-again"),
    path("messages/people/<int:pk>/", messages.wishes, name="wishes"),
    path("events/", events.events, name="events"),
    path("events/receivers/new/", events.new_receiver, name="receiver-new"),
    path("events/receivers/<int:pk>/<str:act>/", events.act_on_receiver, name="receiver-act"),
    path("events/deliveries/<int:pk>/again/", events.deliver_again, name="delivery-again"),
]

visit_urls = [
    path("visits/", visits.visits, name="visits"),
    path("visits/new/", visits.new, name="visit-new"),
    path("visits/want/", visits.want, name="visit-want"),
    path("visits/<uuid:uid>/", visits.visit, name="visit"),
    path("visits/<uuid:uid>/change/", visits.change, name="visit-change"),
    path("visits/<uuid:uid>/pin/", visits.pin, name="visit-pin"),
    path("visits/<uuid:uid>/waive/", visits.waive, name="visit-waive"),
    path("visits/<uuid:uid>/rules/<str:rule>/", visits.hold_again, name="visit-hold"),
    path("visits/<uuid:uid>/forecast/", visits.forecast, name="visit-forecast"),
    path("visits/<uuid:uid>/end/", visits.end, name="visit-end"),
    path("plans/", plans.plans, name="plans"),
    path("plans/<uuid:uid>/", plans.plan, name="plan"),
    path("plans/<uuid:uid>/enough/", plans.enough, name="plan-enough"),
    path("plans/<uuid:uid>/move/", plans.move, name="plan-move"),
    path("plans/<uuid:uid>/use/", plans.use, name="plan-use"),
]
