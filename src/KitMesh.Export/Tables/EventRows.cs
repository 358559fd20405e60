using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Export.Tables;

/// <summary>Reports without numbers of their own as rows.</summary>
internal static class EventRows
{
    internal static EventRow Of(TimedReport timed, string epoch, string kind)
    {
        ReportBody body = timed.Report.Body;
        var row = new EventRow(
            (timed.Time - NodaConstants.UnixEpoch).ToInt64Nanoseconds(), timed.Report.Key.Origin.Node.Value, epoch, (long)timed.Report.Key.Sequence, kind, ItemOf(body), body.ToString() ?? "");
        return body switch
        {
            CardSeen card => row with { Card = card.Card.Value, Insertion = card.Insertion.Value, Source = card.Source?.Value ?? "", Size = card.Used.Value },
            ClipFound clip => row with
            {
                Clip = clip.Clip.ToString(),
                Card = clip.Card.Value,
                Insertion = clip.Insertion.Value,
                Source = clip.Source?.Value ?? "",
                Path = clip.Path,
                Size = clip.Size.Value,
                LengthSeconds = clip.Length?.TotalSeconds ?? 0,
                Recorded = clip.Recorded is { } at ? (at - NodaConstants.UnixEpoch).ToInt64Nanoseconds() : 0,
            },
            CopyMade copy => row with { Clip = copy.Clip.ToString(), Drive = copy.Drive.Value, Path = copy.Path, Size = copy.Size.Value },
            CopyVerified copy => row with { Clip = copy.Clip.ToString(), Drive = copy.Drive.Value, Path = copy.Path, Size = copy.Size.Value, Word = copy.Level.ToString(), Recheck = copy.Recheck ? 1 : 0 },
            CopyFailed copy => row with { Clip = copy.Clip?.ToString() ?? "", Drive = copy.Drive?.Value ?? "", Card = copy.Card?.Value ?? "", Path = copy.Path, Word = copy.Failure.ToString() },
            CardFormatted card => row with { Card = card.Card.Value, Insertion = card.LastInsertion?.Value ?? "" },
            CardReleased card => row with { Card = card.Card.Value },
            AlertChanged alert => row with { Word = alert.Rule, Stands = alert.Raised ? 1 : 0 },
            ReaderFault fault => row with { Word = fault.Reader, Stands = fault.Cleared ? 0 : 1 },
            _ => row,
        };
    }

    private static string ItemOf(ReportBody body) => body switch
    {
        CardSeen card => card.Card.Value,
        ClipFound clip => clip.Card.Value,
        CopyMade copy => copy.Drive.Value,
        CopyVerified copy => copy.Drive.Value,
        CopyFailed copy => copy.Drive?.Value ?? "",
        CardFormatted card => card.Card.Value,
        CardReleased card => card.Card.Value,
        KitDeclared kit => kit.Item.Id.Value,
        KitPlaced placed => placed.Item.Value,
        Note note => note.Subject?.Value ?? "",
        ReaderFault fault => fault.Subject?.Value ?? "",
        AlertChanged alert => alert.Subject.Value,
        BatteryReading battery => battery.Pack.Value,
        TemperatureReading thermometer => thermometer.Subject.Value,
        PanelReading panel => panel.Panel.Value,
        LoadReading load => load.Load.Value,
        _ => "",
    };
}
