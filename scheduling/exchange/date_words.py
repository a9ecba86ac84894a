"""Names of months and weekdays in the languages that sheets come in."""

from __future__ import annotations

from scheduling.exchange.text import fold

_MONTHS = (
    """
    january jan januar jänner jaenner janvier janv enero ene gennaio gen janeiro januari tammikuu tammikuuta styczeń
    stycznia leden ledna január января январь 1月
    """,
    """
    february feb februar februari février févr febrero febbraio fevereiro fev helmikuu helmikuuta luty lutego únor
    února február февраля февраль 2月
    """,
    """
    march mar mär maerz märz mars marzo março maart mrt marts maaliskuu maaliskuuta marzec marca březen března március
    марта март 3月
    """,
    """
    april apr avril avr abril abr aprile abril huhtikuu huhtikuuta kwiecień kwietnia duben dubna április апреля апрель
    4月
    """,
    """
    may mai mayo maggio mag maio mei maj toukokuu toukokuuta maja květen května május мая май 5月
    """,
    """
    june jun juni juin junio giugno giu junho kesäkuu kesäkuuta czerwiec czerwca červen června június июня июнь 6月
    """,
    """
    july jul juli juillet juil julio luglio lug julho heinäkuu heinäkuuta lipiec lipca červenec července július июля
    июль 7月
    """,
    """
    august aug août aout agosto ago augustus augusti elokuu elokuuta sierpień sierpnia srpen srpna augusztus августа
    август 8月
    """,
    """
    september sep sept septembre septiembre set settembre setembro syyskuu syyskuuta wrzesień września září szeptember
    сентября сентябрь 9月
    """,
    """
    october oct oktober okt octobre octubre ottobre ott outubro out lokakuu lokakuuta październik października říjen
    října október октября октябрь 10月
    """,
    """
    november nov novembre noviembre novembro marraskuu marraskuuta listopad listopada listopadu ноября ноябрь 11月
    """,
    """
    december dec dezember dez décembre déc diciembre dic dicembre dezembro joulukuu joulukuuta grudzień grudnia
    prosinec prosince декабря декабрь 12月
    """,
)
_WEEKDAYS = (
    """
    monday mon montag mo lundi lun lunes lunedì maandag ma måndag mandag mån man maanantai poniedziałek pon pondělí
    понедельник пн 月曜日
    """,
    """
    tuesday tue tues dienstag di mardi martes martedì dinsdag tisdag tirsdag tis tir tiistai wtorek wt úterý вторник
    вт 火曜日
    """,
    """
    wednesday wed mittwoch mi mercredi mer miércoles mié mercoledì woensdag wo onsdag ons keskiviikko środa śr středa
    среда ср 水曜日
    """,
    """
    thursday thu thur thurs donnerstag do jeudi jeu jueves jue giovedì gio donderdag torsdag tor torstai czwartek czw
    čtvrtek четверг чт 木曜日
    """,
    """
    friday fri freitag fr vendredi ven viernes vie venerdì vrijdag vr fredag fre perjantai piątek pt pátek пятница пт
    金曜日
    """,
    """
    saturday sat samstag sonnabend sa samedi sam sábado sáb sabato sab zaterdag za lördag lørdag lör lør lauantai
    sobota sob суббота сб 土曜日
    """,
    """
    sunday sun sonntag so dimanche dim domingo dom domenica zondag zo söndag søndag sön søn sunnuntai niedziela ndz
    neděle воскресенье вс 日曜日
    """,
)

MONTHS = {fold(word): number for number, words in enumerate(_MONTHS, 1) for word in words.split()}
"""Folded month word -> 1 to 12."""
WEEKDAYS = {fold(word): number for number, words in enumerate(_WEEKDAYS) for word in words.split()}
"""Folded weekday word -> 0 (Monday) to 6."""
