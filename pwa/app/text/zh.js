// Simplified Chinese. Medical texts (med., and the help cards in cards-zh.js)
// await review: name the reviewer here once a practitioner who speaks Chinese
// has read them.
export const REVIEWER = '';

/** @type {Record<string, string>} */
export const zh = {
  'app.name': 'Nightkeep',
  'nav.label': '页面', 'nav.today': '今天', 'nav.progress': '进展', 'nav.help': '帮助', 'nav.more': '更多', 'nav.back': '返回', 'nav.switch': '切换孩子',
  'wrong.button': '不对劲',
  'eye.right': '右眼', 'eye.left': '左眼', 'eye.both': '双眼', 'eye.Right': '右眼', 'eye.Left': '左眼', 'eye.Both': '双眼',

  'now.in.title': '戴镜', 'now.in.lead': '先洗净并擦干双手。', 'now.in.button': '镜片已戴上',
  'now.out.title': '早上好', 'now.out.lead': '镜片能自由活动时再取下。', 'now.out.button': '镜片已取下',
  'now.out.late.title': '镜片取下了吗？', 'now.out.late.lead': '还没有人记录。如果还戴着，现在用干净的手取下。',
  'now.out.urgent.title': '请取下镜片', 'now.out.urgent.lead': '有一份眼睛报告未关闭。现在用干净的手取下镜片，今晚不要戴。',
  'now.care.title': '清洁存放', 'now.care.lead': '揉搓、冲洗、换新护理液、盖好镜盒。', 'now.care.button': '已清洁并存放',
  'now.evening.title': '看得清楚吗？', 'now.evening.lead': '不戴框架眼镜，看向房间对面。', 'now.evening.button': '给傍晚视力打分',
  'now.missed.title': '昨晚呢？', 'now.missed.lead': '{night} 夜间没有记录。', 'now.missed.button': '照常戴了',
  'now.asleep.title': '睡个好觉', 'now.asleep.lead': '{time} 已戴上镜片。',
  'now.rest.title': '暂时都做完了', 'now.rest.lead': '下一件事：{what}，约 {time}。',
  'now.before.title': '还没开始', 'now.before.lead': '第一晚是 {night}。',
  'now.pause.title': '暂时不戴镜片', 'now.pause.lead': '计划中这些夜晚不戴。不确定请问诊所。',
  'now.noplan.title': '等待计划', 'now.noplan.lead': '验光师还没有发来计划。现在就可以记录。',
  'now.hold.title': '今晚不戴镜片', 'now.hold.lead': '有一份眼睛报告未关闭。诊所同意之前不要戴任何镜片。', 'now.hold.button': '记录：今晚不戴', 'now.hold.see': '查看该怎么做',
  'now.soak.title': '还没好', 'now.soak.lead': '镜片还在浸泡，{time} 可用。绝不要缩短浸泡时间。', 'now.soak.skip': '今晚不戴',
  'now.soak.unknown': '没有记录镜盒何时盖好。只有标签上的浸泡时间已过才可戴镜。',
  'now.other': '有些不一样', 'now.also': '今天还有', 'now.more': '记录其他事项',
  'what.in': '戴镜', 'what.out': '取镜', 'what.care': '清洁', 'what.evening': '傍晚视力',

  'usual.yes': '对，保存', 'usual.line.in': '{time} 戴上两片镜片', 'usual.line.in-one': '{time} 戴上镜片：{eye}', 'usual.line.out': '{time} 取下两片镜片', 'usual.line.out-one': '{time} 取下镜片：{eye}', 'usual.line.moved': '镜片活动自如', 'usual.line.fine': '眼睛舒适、不红', 'usual.change': '哪一行不对就点哪一行。',
  'at.label': '几点？', 'eyes.label': '哪只眼？',

  'care.hand_wash': '用肥皂洗手并擦干', 'care.rub': '每片镜片都揉搓过', 'care.rinse': '用护理液冲洗，没有用水', 'care.case_emptied': '倒掉旧液，换上新液', 'care.case_wiped': '用干净纸巾擦过镜盒', 'care.case_dried': '镜盒敞开倒扣晾干', 'care.deposit_removal': '已去除沉淀物', 'care.closed': '{time} 盖好镜盒', 'care.closed-none': '镜盒还没盖好',
  'care.trouble': '哪里不一样？', 'care.tap_water': '自来水碰到镜片或镜盒', 'care.topping_off': '在旧液里添加了新液', 'care.water_contact': '戴着镜片洗澡或游泳', 'care.rinse.label': '用什么冲洗', 'care.rinse.solution': '护理液', 'care.rinse.saline': '生理盐水', 'care.rinse.tap-water': '自来水', 'care.rinse.none': '没有冲洗',

  'out.moved': '镜片活动自如吗？', 'moved.freely': '是的', 'moved.stuck-came-off': '粘住了，后来取下', 'moved.stuck': '粘住了，不动',
  'out.comfort': '眼睛感觉如何？', 'comfort.4': '舒适', 'comfort.3': '有点磨', 'comfort.2': '磨', 'comfort.1': '痛', 'comfort.0': '很痛',
  'out.redness': '眼白有多红？', 'redness.0': '不红', 'redness.1': '有点红', 'redness.2': '明显红', 'redness.3': '很红', 'out.when': '什么时候取下的？', 'out.when.morning': '早上', 'out.when.now': '刚刚才取下', 'out.long': '镜片戴的时间比计划长。眼睛发红、疼痛或看不清：现在做眼睛检查。', 'out.drops': '用了滴眼液松动镜片', 'out.check': '眼睛痛或红，或镜片粘住：现在做眼睛检查。',

  'not.title': '今晚不戴：为什么？', 'not.button': '没有戴', 'reason.forgot': '忘了', 'reason.tired': '太累', 'reason.ill': '不舒服', 'reason.sore-eye': '眼睛痛', 'reason.lens-problem': '镜片有问题', 'reason.soak-not-ready': '浸泡未完成', 'reason.away': '不在家', 'reason.told-to-stop': '诊所说停戴', 'reason.other': '其他原因',

  'save': '保存', 'saved': '已保存在本机', 'undo': '撤销', 'undone': '已撤回', 'cancel': '取消', 'next': '下一步', 'change': '更改', 'remove': '撤回', 'yes': '是', 'no': '否',
  'failed.full': '没有保存：本机空间不足。请腾出空间后再试。', 'failed.other': '没有保存，请再试。（{why}）',

  'fortnight.title': '最近两周', 'fortnight.worn': '戴了', 'fortnight.half': '一只眼或部分', 'fortnight.not': '没戴', 'fortnight.unknown': '没有记录', 'fortnight.differ': '两条记录不同', 'fortnight.planned': '计划不戴',
  'log.title': '已记录', 'log.none': '还没有。', 'log.by': '{what} – {who}，{time}', 'log.you': '您',
  'kind.insertion': '戴镜', 'kind.removal': '取镜', 'kind.not-worn': '没有戴', 'kind.care': '镜片护理', 'kind.morning': '晨间检查', 'kind.evening-sight': '傍晚视力', 'kind.acuity-run': '视力测试', 'kind.symptoms': '眼睛报告', 'kind.supply': '用品', 'kind.note': '备注', 'kind.plan-ack': '计划已读', 'kind.retraction': '已撤回',
  'differ.title': '两条记录不同', 'differ.lead': '两条都保留，以更谨慎的为准，直到有人撤回错误的一条。',
  'night.title': '{night} 夜间', 'night.add': '添加或更改', 'night.note': '给诊所的备注', 'night.unsent': '仅在本机',

  'plan.new': '验光师有新的计划。', 'plan.read': '我已阅读', 'plan.title': '您的计划', 'plan.version': '第 {n} 版', 'plan.wear': '约 {from} 戴上，约 {to} 取下，至少 {hours} 小时。', 'plan.soak': '每次清洁后至少浸泡 {time}。', 'plan.case': '每 {n} 个月换新镜盒。', 'plan.case.one': '每月换新镜盒。', 'plan.deposit.one': '每天去除沉淀物。', 'plan.deposit': '每 {n} 天去除沉淀物。',

  'evening.title': '傍晚视力', 'evening.lead': '不戴框架眼镜，看向房间对面或远处的牌子。', 'rating.1': '非常模糊', 'rating.2': '模糊', 'rating.3': '有点模糊', 'rating.4': '几乎清楚', 'rating.5': '和早上一样清楚',
  'evening.legend': '现在有多清楚？', 'evening.hours': '取下镜片后的小时数', 'evening.hours.unknown': '没有记录', 'evening.halos': '灯光周围有光圈或眩光吗？', 'halos.none': '没有', 'halos.some': '有一些', 'halos.troublesome': '让我困扰', 'evening.spectacles': '今天需要框架眼镜吗？', 'evening.exact': '改做视力测试',

  'check.title': '眼睛检查', 'check.eye': '哪只眼？', 'check.step': '第 {n} 题，共 {of} 题', 'check.unknown': '不知道', 'check.stop': '现在看建议', 'check.began': '什么时候开始的？', 'began.now': '刚刚', 'began.hours': '几小时前', 'began.night': '昨晚', 'began.yesterday': '昨天', 'began.days': '两天前或更早', 'began.at': '具体日期时间', 'check.note': '还要告诉诊所什么？',
  'check.caution': '镜片还戴着，而眼睛痛或红？先用干净的手取下。化学品入眼：立刻冲洗。', 'check.feel': '眼睛感觉怎样？', 'check.look': '眼睛看上去怎样？', 'check.see': '眼睛看东西怎样？', 'check.last': '最后的问题', 'check.apart': '两只眼不一样', 'check.whose': '谁的眼睛？',

  'advice.title': '该怎么做', 'advice.began': '已开始 {ago}。', 'advice.call': '致电 {who}', 'advice.open': '诊所现在接听电话。', 'advice.closed': '诊所现在不接听电话，{when} 恢复。', 'advice.closed-unknown': '诊所现在不接听电话。', 'advice.after': '非营业时间：{number}', 'advice.emergency': '急救电话：{number}', 'advice.nonumber': '这里没有存电话号码。请联系当地急救机构。',
  'advice.found': '原因', 'advice.not-checked': '未检查', 'advice.again': '再检查一次', 'advice.answers': '您的回答', 'advice.done': '回首页', 'advice.doing': '请按顺序做', 'advice.sources': '依据来源',
  'delivery.title': '诊所收到了吗？', 'delivery.phone': '诊所还没有收到，请打电话。', 'delivery.refused': '诊所的服务器没有接受这份报告，请打电话。', 'delivery.sent': '{time} 已发送。诊所还没有人看到。', 'delivery.open': '{time} 已到诊所。还没有人看到。', 'delivery.late': '一个多小时没人看到。现在打电话，不要等应用。', 'delivery.seen': '{name} 已于 {time} 看到。', 'delivery.closed': '诊所已于 {time} 关闭。', 'delivery.noalert': '{time} 已发送，在诊所记录中。', 'delivery.trying': '本机会继续尝试发送。', 'delivery.nowatch': '营业时间之外，诊所无人查看此应用。',
  'reports.open': '未关闭的眼睛报告', 'reports.see': '查看建议和状态',

  'help.title': '帮助', 'help.lead': '没有网络也能用。', 'help.do': '要做', 'help.dont': '不要做', 'help.source': '来源：{source}', 'help.caution': '以您诊所的指示为先。', 'help.urgent': '出现问题时', 'help.everyday': '每天',

  'progress.title': '进展', 'progress.nights': '戴镜夜数', 'progress.of': '{n} / {of}', 'progress.hours': '每晚小时数', 'progress.clear': '清楚的傍晚', 'progress.clear-hours': '清楚的小时数，至少', 'progress.denominator': '最近计划的 {of} 晚；{unknown} 晚没有记录。', 'progress.sight': '近四周傍晚视力', 'progress.sight.none': '打几次分就会显示在这里。', 'progress.date': '日期', 'progress.rating': '评分', 'progress.table': '看表格', 'progress.due': '即将到来', 'progress.due.none': '还没有安排。', 'progress.overdue': '{date} 起逾期',
  'due.case': '新镜盒', 'due.bottle': '新护理液', 'due.drops': '新滴眼液', 'due.lens': '新镜片', 'due.holder': '新吸棒', 'due.deposit-removal': '去除沉淀物', 'due.acuity': '视力测试', 'due.recall': '到诊所复查', 'due.waking': '第一个早晨：请在醒后 {n} 小时内到达。', 'due.sync': '让本机联网',
  'progress.soak': '浸泡', 'progress.soak.left': '还需 {time}，{at} 可用', 'progress.soak.ready': '{at} 浸泡完成',
  'expect.title': '会怎样', 'expect.night1': '第一晚之后视力常有好转，但不会整天清楚。请带上框架眼镜。', 'expect.week1': '第一周效果逐晚增加，到傍晚会减弱。灯光周围有光圈很常见。', 'expect.week2': '一到两周，多数人白天都能看清。若没有，请告诉诊所。', 'expect.steady': '多数日子应到傍晚都清楚。若傍晚又模糊，请告诉诊所。', 'expect.missed': '漏戴一晚，视力会在一天左右下降。请带眼镜；旧眼镜度数可能不合适。', 'expect.limits': '这是已发表研究中的一般过程。您的情况可能不同，由验光师决定。',
  'supplies.title': '用品', 'supplies.started': '启用了新用品', 'supplies.what': '什么是新的？', 'supplies.case': '镜盒', 'supplies.solution': '护理液', 'supplies.lens': '镜片', 'supplies.holder': '吸棒', 'supplies.drops': '滴眼液', 'supplies.on': '启用日期', 'supplies.days': '标签上开封后可用天数', 'supplies.label': '名称（可不填）', 'supplies.save': '保存',

  'unsent.title': '仅在本机', 'unsent.chip': '{n} 条仅在本机', 'unsent.none': '全部已发送。', 'unsent.lead': '这些还没有到诊所。它们在这里很安全，有网络时会发送。', 'unsent.try': '现在试', 'unsent.trying': '正在发送…', 'unsent.next': '{time} 后再试。', 'unsent.fault.offline': '没有网络。', 'unsent.fault.signed-out': '服务器不再认识本机。什么都没丢：请向诊所索取新邀请。', 'unsent.fault.server': '服务器现在无法接收。', 'unsent.fault.limited': '服务器要求等待。', 'unsent.export': '存成文件', 'unsent.import': '读取文件', 'unsent.imported': '从文件取得 {n} 条。', 'unsent.bad-file': '这不是未发送记录的文件。', 'unsent.refused': '服务器没有接受', 'unsent.refused.lead': '保留在这里。可修正或收起，也可找回。', 'unsent.mend': '修正', 'unsent.discard': '收起', 'unsent.discarded': '已收起', 'unsent.restore': '找回', 'unsent.mend.label': '{field} 的新值', 'unsent.heard': '上次联系服务器：{time}。', 'unsent.never': '还没有联系过服务器。', 'unsent.held': '服务器留待新版本处理',

  'more.title': '更多', 'more.language': '语言', 'more.notify': '通知', 'more.notify.why': '应用可以提醒戴镜、清洁和复查，并告知诊所何时回复。锁屏不显示姓名。', 'more.notify.on': '打开通知', 'more.notify.test': '发送测试', 'more.notify.sent': '已发送，应在一分钟内到达。若没有，请检查手机设置。', 'more.notify.arrived': '测试消息已到达。', 'more.notify.denied': '浏览器禁止了通知。请在设置中为本页允许。', 'more.notify.none': '应用关闭时此浏览器无法显示通知。', 'more.notify.ios': '在 iPhone 或 iPad 上：点“共享”，再点“添加到主屏幕”，从那里打开 Nightkeep。它会再要一次代码：请先在“手机和日历”里生成。', 'more.notify.failed': '没有成功：{why}', 'more.install': '放到主屏幕', 'more.install.button': '安装', 'more.install.how': '打开浏览器菜单，选“安装”或“添加到主屏幕”。这样手机会更好地保存记录。',
  'devices.title': '家里的手机', 'devices.open': '手机和日历', 'devices.lead': '下列每部手机都能读写家里的记录。', 'devices.offline': '此列表需要联网。', 'devices.this': '本机', 'devices.seen': '{who}，最近联系 {time}', 'devices.never': '{who}，尚未联系', 'devices.drop': '停用', 'devices.drop.sure': '确定停用 {name}？它还没发送的内容会留在那部手机上。', 'devices.drop.yes': '是，停用', 'devices.add': '我的另一部手机', 'devices.add.lead': '为您的另一部手机生成代码，15 分钟内有效。请用那部手机扫描图形，或在那里输入代码。', 'devices.add.button': '生成代码', 'devices.qr': '可扫描的代码图形', 'devices.code': '代码：{code}，有效至 {time}', 'devices.failed': '未成功：{why}',
  'calendar.title': '在您的日历里看复诊', 'calendar.made': '已有地址，生成于 {time}。无法再次显示。', 'calendar.make': '生成地址', 'calendar.again': '生成新的，停用旧的', 'calendar.end': '停用地址', 'calendar.address': '地址',
  'more.device': '本机', 'more.device.who': '登录人：{name}。', 'more.persist.yes': '手机同意保留记录。', 'more.persist.no': '空间不足时手机可能清除记录：请常发送，并安装应用。', 'more.zone': '时区：{zone}', 'more.quiet': '{from} 至 {to} 不打扰。', 'more.contacts': '诊所', 'more.people': '家人', 'more.review': '有待会此语言的专业人员审阅。有疑问时以诊所或英文为准。', 'more.version': '有新版本。', 'more.update': '现在更新', 'more.about': 'Nightkeep 记录、提醒、传递消息。它不作诊断，也看不到眼睛。由验光师决定。',

  'join.title': '欢迎', 'join.lead': 'Nightkeep 保存夜戴镜片的记录并送到诊所。', 'join.code': '诊所给的代码', 'join.code.hint': '十二个字母和数字，见信件或二维码。', 'join.device': '本机名称', 'join.device.default': '手机', 'join.consent.title': '您同意的内容', 'join.consent.1': '您记录的镜片、视力和眼睛情况保存在本机，并只发送到您的诊所。加入的每位家庭成员和诊所都能看到全部记录。', 'join.consent.2': '诊所用它照护戴镜者。您可随时要求副本或删除。', 'join.consent.3': '应用按规则给出一般建议。它不作诊断，看不到眼睛，也没有人全天查看。痛、红或模糊：取下镜片并打电话。', 'join.consent.agree': '我是戴镜者的父母或监护人，或成年戴镜者，或已获父母同意的青少年；我同意。', 'join.button': '加入', 'join.joining': '正在加入…', 'join.need-code': '请输入代码。', 'join.need-consent': '请先阅读并同意。', 'join.ios': '在 iPhone 或 iPad 上，请先把 Nightkeep 放到主屏幕：点“共享”，再点“添加到主屏幕”。从那里打开，并在那里输入代码。代码只能用一次，浏览器和主屏幕不共享任何内容。', 'join.offline': '没有网络。加入时需要网络，之后可离线使用。',

  'trouble.blocked': '另一个标签页开着旧版 Nightkeep，请关闭。', 'trouble.newer': '另一个标签页有更新版本，请重新加载。', 'trouble.reload': '重新加载', 'start.loading': '请稍候…', 'start.failed': '无法打开本机记录：{why}',

  'acuity.title': '视力测试', 'acuity.card': '把银行卡竖着贴在屏幕上，把方框调到和卡一样高。此屏幕只需一次。', 'acuity.card.slide': '方框大小', 'acuity.smaller': '小一点', 'acuity.larger': '大一点', 'acuity.card.done': '吻合', 'acuity.card.again': '重新测量屏幕',
  'acuity.distance': '距离（米）', 'acuity.distance.fault': '1 到 6 米，一般 3 米：太近会掩盖轻度近视。', 'acuity.coarse': '此距离下屏幕无法显示小于 {size} 的大小。可以的话请站远些。', 'acuity.eye': '测哪只眼？', 'acuity.ready': '已量、已遮、已调亮', 'acuity.start': '开始', 'acuity.running': '正在测{eye}，第 {n} 个圆环', 'acuity.which': '缺口在哪里？', 'acuity.up': '上', 'acuity.right': '右', 'acuity.down': '下', 'acuity.left': '左', 'acuity.unknown': '看不出', 'acuity.pause': '暂停', 'acuity.paused': '已暂停', 'acuity.go-on': '继续', 'acuity.stop': '到此为止',
  'acuity.result': '结果，{eye}', 'acuity.about': '约 {value} logMAR（可能在 {from} 到 {to} 之间）。越小越精细。', 'acuity.feet': '约等于 6/{n}：这只眼在 6 米处看清的，一般的眼在 {n} 米处就能看清。', 'acuity.few': '圆环太少，得不出结果。已有的仍可保存。', 'acuity.unreliable': '回答比较分散，结果不牢靠。改天傍晚再试。', 'acuity.practice': '每只眼的前两次是练习，会如此标记。', 'acuity.discard': '不保存',
  'kind.reply': '给诊所的回复', 'kind.check-open': '已开始眼睛检查', 'kind.elsewhere': '在别处检查过',
  'kind.pause': '提醒已暂停', 'kind.snooze': '提醒推迟到', 'now.paused.title': '提醒已暂停', 'now.paused.lead': '到 {night} 那一晚为止。仍可照常记录。',
  'pause.open': '暂停提醒', 'pause.end': '结束暂停', 'pause.to': '到 {night}', 'pause.ill': '身体不适时不要戴镜。如果眼睛曾发红或疼痛，重新开始前请先问诊所。',
  'snooze.button': '{time} 再提醒我', 'snooze.until': '提醒推迟到 {time}。', 'reminders.title': '提醒', 'reminders.whose': '关于 {name}。',
  'pause.live': '已暂停', 'pause.span': '{from} 至 {to}', 'pause.title': '暂停提醒',
  'pause.why': '为什么？', 'pause.first': '第一晚', 'pause.last': '最后一晚',
  'pause.save.one': '暂停 1 晚', 'pause.save': '暂停 {n} 晚', 'pause.fault.order': '最后一晚应在第一晚之后。', 'pause.fault.long': '一次最多 {n} 晚。结束后可再次暂停。',
  'pause.fault.past': '暂停从今晚或以后开始。', 'reminders.chosen': '提醒谁，怎样提醒', 'reminders.first': '先提醒谁？', 'reminders.first.teen': '青少年本人',
  'reminders.first.parent': '家长', 'reminders.after': '没有记录时，多久后提醒家长', 'reminders.never': '从不', 'reminders.words': '锁屏上可以显示什么？',
  'reminders.saved': '已保存。',

  'record.title': '来自您的记录', 'record.limits': '这是按规则根据此手机上的记录给出的一般建议，不是检查；由您的视光师决定。', 'now.hold.record': '记录可能说明眼睛有问题。在诊所说可以之前，不要戴任何镜片。',
  'outlook.title': '根据您自己的记录',
  'outlook.on-course': '按所戴夜数，记录的傍晚视力与通常过程相符。',
  'outlook.behind': '按所戴夜数，记录的傍晚视力落后于通常过程。请告诉您的视光师；这不是谁的错。',
  'outlook.not-enough': '记录还不足以与通常过程比较。记录夜晚和傍晚视力后即可比较。',
  'outlook.clear': '摘镜后，远视力预计约有 {low} 至 {high} 小时清晰。',
  'outlook.clear.none': '预计还不能全天看远清晰。',
  'outlook.missed.one': '少戴一晚后，傍晚可能{sight}。',
  'outlook.missed.two': '少戴两晚后：{sight}。',
  'outlook.sight.slight': '看远略模糊',
  'outlook.sight.blurred': '看远模糊',
  'outlook.sight.strong': '看远明显模糊',
  'outlook.limits': '由模型根据截至 {night} 那一晚的记录估计，以较差的眼为准。它不是测量，也不说明眼睛是否健康。由您的视光师决定。',
  'time.whole': '{h} 小时', 'time.whole-days': '{d} 天',
  'error.bad-invitation': '此代码无效：可能已用过、已过期或输错。请与信件核对，或向诊所要新的代码。', 'error.too-many-tries': '尝试次数过多。请等一分钟再试。', 'error.bad-device-name': '请给本机起一个短一些的名称。', 'error.bad-consent': '您同意的内容已有变化。请重新加载页面并阅读。',
  'error.id-taken': '诊所在这个位置已有另一条记录。', 'error.bad-field': '有一项回答服务器不接受。', 'error.missing-field': '缺少一项回答。', 'error.unknown-kind': '诊所的服务器不认识这种记录。', 'error.foreign-wearer': '这位戴镜者已不属于您的家庭。', 'error.foreign-author': '您不能替别人写这条记录。', 'error.foreign-device': '这是另一部手机写的，须由那部手机发送。', 'error.bad-reference': '此条要更改的记录不存在。', 'error.bad-night': '日期不对：请检查本机的日期。', 'error.other': '服务器没有接受（{code}）。',
  'first.title': '开始之前', 'first.times': '何时提醒', 'first.times.zone': '夜晚和提醒按本机的时钟。时区不对时，请在手机设置里更改。', 'first.times.quiet': '安静时段写在计划里：要更改请询问您的验光师。', 'first.times.none': '计划里没有安静时段。', 'first.step': '第 {n} 步，共 {of} 步', 'first.skip': '暂不', 'first.next': '下一步', 'first.done': '开始', 'first.computer': '在地址栏或浏览器菜单中选择“安装”。在电脑上可以不装。', 'first.again': '以后都可以在“更多”里找到。',
  'time.minutes': '{n} 分钟', 'time.hours': '{h} 小时 {m} 分', 'time.days': '{d} 天 {h} 小时', 'time.less': '不到一分钟',

  'med.rule.chemical.family': '化学品入眼：立刻冲洗，马上求助', 'med.rule.injury.family': '眼睛受伤', 'med.rule.pain-persists.family': '取下镜片后仍然痛', 'med.rule.light.family': '光线让眼睛痛', 'med.rule.sight-blurred.family': '不消退的模糊', 'med.rule.spot.family': '眼上有白色或黄色斑点', 'med.rule.pus.family': '浓稠或有颜色的分泌物', 'med.rule.red-and-pain.family': '眼红并且痛或痛过', 'med.rule.red-and-blur.family': '眼红并且模糊', 'med.rule.stuck-and-red.family': '镜片粘住或找不到，并且眼红', 'med.rule.morning-red-and-sore.family': '今早眼睛红且痛', 'med.rule.morning-stuck-and-red.family': '镜片粘住且眼红', 'med.rule.halo-and-red.family': '困扰的光圈，且眼红或痛', 'med.rule.redness.family': '眼红', 'med.rule.gritty.family': '异物感不消退', 'med.rule.discharge.family': '流泪或发黏', 'med.rule.stuck-and-sore.family': '镜片粘住过，且眼睛不适', 'med.rule.lens-not-out.family': '镜片取不下或找不到', 'med.rule.morning-red.family': '今早眼红', 'med.rule.morning-stuck-and-sore.family': '镜片粘住且眼痛', 'med.rule.sign-again.family': '症状持续或再次出现', 'med.rule.sign-after-water.family': '有症状，而且水碰过镜片、镜盒或眼睛', 'med.rule.pain-gone.family': '取下镜片后消失的痛', 'med.rule.lens-broken.family': '镜片破裂或缺口', 'med.rule.lens-came-off.family': '镜片粘住后取下', 'med.rule.morning-sore.family': '今早眼痛', 'med.rule.stuck-twice.family': '一周内镜片粘住两次', 'med.rule.tap-water.family': '自来水碰到镜片或镜盒', 'med.rule.water-contact.family': '戴着镜片洗澡或游泳', 'med.rule.soak-short.family': '浸泡未完成就戴上镜片', 'med.rule.worn-while-ill.family': '生病时戴了镜片', 'med.rule.lens-overdue.family': '镜片已过更换日期', 'med.rule.missed-often.family': '许多夜晚没戴', 'med.rule.evening-below-own.family': '傍晚视力低于平时', 'med.rule.evening-drop-marked.family': '傍晚视力明显低于平时', 'med.rule.behind-adaptation.family': '视力还没有达到预期', 'med.rule.silence.family': '有几晚没有任何记录', 'med.rule.recall-overdue.family': '诊所复查已逾期', 'med.rule.halo-late.family': '光圈超过了通常的一个月', 'med.rule.sight-clears.family': '会消退的模糊', 'med.rule.gritty-insertion.family': '戴镜时有异物感', 'med.rule.ill.family': '身体不适：痊愈前不戴镜片', 'med.rule.topping-off.family': '在旧液里添加了新液', 'med.rule.missed-night.family': '漏戴一晚：今天可能不够清楚', 'med.rule.missed-row.family': '漏戴两晚', 'med.rule.short-nights.family': '几晚时间偏短', 'med.rule.halo-early.family': '光圈通常在第一个月内减轻', 'med.rule.case-overdue.family': '该换镜盒了', 'med.rule.bottle-overdue.family': '有一瓶已过期', 'med.rule.deposit-overdue.family': '该去除沉淀物了',
  'med.action.rinse-eye': '现在先冲洗眼睛，别的都放后。用最近的干净水或生理盐水：水龙头、淋浴或瓶装水，不要热水。撑开眼皮，让水轻轻流过眼睛，至少 20 分钟。若镜片在眼里，能取下就边冲边取，不要停下来找。然后告诉医护是什么液体，并带上瓶子。', 'med.action.lenses-out': '现在用干净、干燥的手取下双眼镜片。若已取下，就不要再戴。', 'med.action.stuck-steps': '镜片不动时：滴入诊所给的润滑液，闭眼，等待并眨眼，直到镜片活动。若仍不动，看向一侧，用眼皮在镜片边缘轻压眼白。镜片活动后才取下。超过诊所告诉您的时间仍粘住，请打电话。', 'med.action.stuck-no-pull': '不要拉扯不动的镜片，也不要用吸棒去吸。', 'med.action.find-lens': '找不到镜片时，看看镜盒、脸上和枕头。不要用手指在眼里找。告诉对方镜片可能还在眼里。', 'med.action.no-lens': '今晚及以后双眼都不要戴镜片，直到诊所在这里告诉您可以戴。', 'med.action.call-now': '现在打电话。今天必须就诊，夜间和周末也一样。10 分钟内没人接，就不要等：去眼科急诊，或拨打当地急救电话。', 'med.action.call-today': '今天打电话给诊所。24 小时内必须就诊。没人接就打非营业时间号码。一小时内仍没人接，就去眼科急诊。', 'med.action.call-clinic': '下一个工作日联系诊所。', 'med.action.tell-at-recall': '下次复查时告诉诊所。', 'med.action.no-driving': '视力模糊或有光圈时，不要开车或骑车。', 'med.action.no-rub': '不要揉眼。', 'med.action.no-own-drops': '不要用别的眼药水或眼膏。绝不用以前剩下的眼药，尤其是激素或抗生素眼药。', 'med.action.no-tap-water': '不要用自来水冲洗镜片或镜盒。', 'med.action.keep-lenses': '不要扔掉镜片、镜盒或护理液：可能要化验。', 'med.action.bring': '带上镜片、镜盒、所有护理液瓶和框架眼镜。', 'med.action.unsure': '有些问题没有答案，可能很严重。请大人一起看，再回答一次。仍不确定，就当作“是”来处理。', 'med.action.watch': '若眼睛变红、痛、怕光或模糊，或加重，取下镜片，立刻再做检查并打电话。', 'med.action.check-eye': '现在做眼睛检查。', 'med.action.spectacles': '带上框架眼镜。这几天旧眼镜可能不合适：问诊所用哪副。', 'med.action.no-broken': '不要戴破裂或缺口的镜片。若可能有碎片在眼里，现在打电话。', 'med.action.disinfect-again': '下次戴之前，把镜片完整地清洁消毒一遍。', 'med.action.new-case': '换新镜盒，扔掉旧的；若眼睛痛或红，则留下旧的。', 'med.action.new-bottle': '开一瓶新的并写上日期。', 'med.action.fresh-solution': '倒空镜盒，用干净纸巾擦，每次都用新液。绝不添加。', 'med.action.soak-full': '标签上的浸泡时间未到，绝不要戴。睡前未到就今晚不戴。', 'med.action.no-wear-ill': '不舒服时不戴镜片。何时恢复请问诊所。', 'med.action.clean-deposits': '按护理计划去除沉淀物。', 'med.action.book-recall': '打电话给诊所预约。', 'med.action.log-again': '请记录今晚，不戴也要记。', 'med.action.wear-plan': '按护理计划的夜晚和时长戴镜。有困难请告诉诊所。',
  'med.level.emergency': '急症', 'med.level.emergency.told': '现在取下镜片，今天就诊。', 'med.level.urgent': '紧急', 'med.level.urgent.told': '取下镜片，24 小时内就诊。', 'med.level.routine': '常规', 'med.level.routine.told': '下一个工作日联系诊所。', 'med.level.note': '备注', 'med.level.note.told': '下次复查时告诉诊所。', 'med.level.none': '不在清单上', 'med.level.none.told': '您的回答都不在我们的症状清单上。这不表示眼睛没有问题。',
  'med.caution.cannot-see': '此应用看不到您的眼睛，只依据您的回答。', 'med.caution.worried': '如果担心，不管本页怎么说，都请联系诊所。联系不上就找当地急救。', 'med.caution.unknown': '以下因未回答而无法判断：', 'med.caution.at-least': '至少这么严重，也可能更严重。', 'med.caution.local': '以您的诊所或当地急救机构所说为先。', 'med.caution.better': '即使好转，也请照本页做。只有诊所能关闭它。', 'med.delay.unknown': '您没有说何时开始。不要等着看会不会好。', 'med.delay.soon': '不要等着看会不会好。', 'med.delay.over-12-hours': '已超过 12 小时。一项戴镜者感染研究中，治疗晚 12 小时以上者更常视力较差、病程更长。现在打电话。', 'med.delay.over-49-hours': '已超过两天。一项戴镜者感染研究中，拖延两三天后视力受损的情况多出数倍。不要再等：现在打电话，没人接就直接去。',
  'med.sign.pain': '眼睛痛吗？', 'med.answer.pain.none': '不痛', 'med.answer.pain.gone': '痛过，取下镜片就停了', 'med.answer.pain.persists': '痛，取下镜片也痛', 'med.answer.pain.severe': '非常痛', 'med.sign.redness': '眼白红吗？', 'med.answer.redness.none': '不红', 'med.answer.redness.mild': '有点红', 'med.answer.redness.marked': '很红', 'med.sign.light': '光线让眼睛痛吗？', 'med.answer.light.no': '不会', 'med.answer.light.yes': '会', 'med.sign.sight': '视力比平时差吗？', 'med.answer.sight.same': '没有', 'med.answer.sight.clears': '是，但眨眼或取下镜片就清楚', 'med.answer.sight.blurred': '是，一直模糊', 'med.sign.discharge': '眼睛流泪或发黏吗？', 'med.answer.discharge.none': '没有', 'med.answer.discharge.watering': '流泪', 'med.answer.discharge.waking': '醒来时发黏', 'med.answer.discharge.pus': '浓稠，白、黄或绿色', 'med.sign.spot': '黑眼珠上有白色或黄色斑点吗？', 'med.answer.spot.no': '没有', 'med.answer.spot.yes': '有', 'med.sign.gritty': '感觉眼里有东西吗？', 'med.answer.gritty.no': '没有', 'med.answer.gritty.insertion': '只在戴镜时', 'med.answer.gritty.stays': '有，一直有', 'med.sign.lens': '镜片在哪里？', 'med.answer.lens.out': '已取下', 'med.answer.lens.in': '在眼里', 'med.answer.lens.broken': '破裂或缺口', 'med.answer.lens.stuck-came-off': '粘住过，已取下', 'med.answer.lens.stuck': '粘住，不动', 'med.answer.lens.cannot-find': '找不到', 'med.sign.injury': '眼睛受伤了，或有东西进去了吗？', 'med.answer.injury.no': '没有', 'med.answer.injury.knock': '碰到或戳到', 'med.answer.injury.chemical': '双氧水、清洁液或其他化学品', 'med.sign.ill': '感觉生病了吗（发烧、感冒）？', 'med.answer.ill.no': '没有', 'med.answer.ill.yes': '有', 'med.answer.unknown': '不知道',
  'med.rule.now-chemical.family': '化学品入眼：先冲洗，再去急诊', 'med.rule.now-cut.family': '眼睛有伤口，或有东西扎在眼里', 'med.rule.now-bad.family': '剧痛、突然看不见或重影、眼睛睁不开或受伤', 'med.rule.open-eye.family': '眼睛有伤口，或有东西扎在眼里或高速飞入', 'med.rule.sight-sudden.family': '视力突然丧失、重影，或有幕影、闪光', 'med.rule.blood.family': '眼里有血',
  'med.rule.pupil.family': '瞳孔（黑点）看起来不正常', 'med.rule.lid-shut.family': '眼睛睁不开', 'med.rule.lid-and-ill.family': '眼皮肿，而且身体不适', 'med.rule.pain-severe.family': '剧痛，或痛得远超眼睛的样子', 'med.rule.lid-swollen.family': '眼皮肿', 'med.rule.scratch.family': '被镜片或手指划伤',
  'med.rule.sign-with-water.family': '眼睛痛或红，而且水碰过镜片或镜盒', 'med.rule.grit.family': '灰尘、沙子或小虫进了眼睛', 'med.rule.peroxide-short.family': '双氧水还未中和就戴上了镜片', 'med.rule.peroxide-felt.family': '双氧水还未中和就戴上了镜片，而且眼睛有感觉', 'med.action.leave-lens': '不要碰这只眼睛。镜片若在眼里，就留在里面。另一只眼没有受伤，才取下它的镜片。', 'med.action.lens-if-loose': '不要按压眼睛或眼皮。镜片能轻松取下才取；取不下就留着，去求助。',
  'med.action.shield': '不要用任何东西压住眼睛。可用干净纸杯罩住，杯口靠在眼眶骨上，防止手碰到。不要用眼罩或纱布包眼。', 'med.action.no-rinse': '不要冲洗眼睛，也不要拔出扎在里面的东西。', 'med.action.rinse-grit': '取下镜片后眨眼，用生理盐水或干净的水轻轻冲洗。之后仍有异物感，就再做一次眼睛检查。', 'med.action.go-now': '现在就去眼科急诊，不分昼夜，或拨打当地急救电话。不要等回电。路上再打电话给诊所。让别人开车。', 'med.action.no-lens-tonight': '今晚这只眼不要戴镜片。停一晚没有害处。下一晚之前再做一次眼睛检查。', 'med.action.no-patch': '不要包住眼睛。',
  'med.told.rinse-eye': '先冲洗眼睛，然后去急诊。', 'med.told.leave-lens': '不要碰眼睛，镜片留着。', 'med.told.lens-if-loose': '不要按压。镜片能轻松取下才取。', 'med.told.lenses-out': '现在取下镜片。', 'med.told.go-now': '现在去眼科急诊。', 'med.told.call-now': '现在打电话，今天就诊。',
  'med.told.call-today': '24 小时内就诊。', 'med.level.unsure': '还不清楚', 'med.level.unsure.told': '可能很严重。取下镜片，今晚不戴，今天打电话。', 'med.answer.pain.beyond': '痛，远超眼睛看上去的样子', 'med.answer.redness.blood': '有血', 'med.answer.sight.double': '突然重影',
  'med.answer.sight.curtain': '闪光，或有黑影、幕影', 'med.answer.sight.lost': '突然看不见', 'med.answer.injury.grit': '灰尘、沙子或小虫', 'med.answer.injury.scratch': '被镜片或手指划到', 'med.answer.injury.cut': '眼睛或眼皮割伤', 'med.answer.injury.fragment': '有东西高速飞入或扎在里面',
  'med.sign.lid': '眼皮肿吗，或眼睛睁不开吗？', 'med.answer.lid.no': '没有', 'med.answer.lid.swollen': '肿', 'med.answer.lid.shut': '睁不开', 'med.sign.pupil': '黑色瞳孔看起来不正常吗：不圆，或与另一只不同？', 'med.answer.pupil.no': '没有',
  'med.answer.pupil.yes': '是', 'med.sign.now': '现在有多严重？', 'med.answer.now.none': '都不是：继续问', 'med.answer.now.pain': '剧痛', 'med.answer.now.shut': '眼睛睁不开', 'med.answer.now.sight': '突然看不见或重影',
  'med.answer.now.cut': '有伤口，或有东西扎在眼里', 'med.answer.now.chemical': '化学品入眼：双氧水、清洁液或其他', 'med.sign.water': '水碰过镜片或镜盒吗：自来水、淋浴或游泳？', 'med.answer.water.no': '没有', 'med.answer.water.yes': '有', 'med.sign.other': '另一只眼呢？',
  'med.answer.other.usual': '和平时一样', 'med.answer.other.not-usual': '和平时不一样',
  'check.none': '都不是。哪只眼？', 'check.left': '您开始过一次检查（{time}）但没做完，已保留。', 'check.go-on': '继续做完',
  'check.water': '最近 {n} 天内：水对眼睛的伤害可能几周后才出现。', 'check.lid': '眼皮和眼睛', 'rinse.left': '继续冲洗：还剩 {time}',
  'rinse.done': '20 分钟到了。现在就去。若仍灼痛，路上能冲就继续冲。', 'rinse.again': '重新计时', 'advice.go': '现在去这里：',
  'advice.nobody': '10 分钟内没人接？去这里：', 'advice.noplace': '最近的急诊，最好是眼科急诊。',
  'med.answer.other.unknown': '不知道',
};
