using KitMesh.Domain.Results;
using KitMesh.Export.Account;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Export.Page;

/// <summary>Draws an account as one self-contained HTML file: no script, no link, nothing loaded from anywhere.</summary>
public static class AccountPage
{
    private static readonly LocalDatePattern Day = LocalDatePattern.Iso;
    private static readonly LocalDateTimePattern Moment = LocalDateTimePattern.CreateWithInvariantCulture("uuuu'-'MM'-'dd' 'HH':'mm");

    /// <summary>The file. The same account gives the same bytes.</summary>
    /// <param name="account">The account.</param>
    public static string Of(TripAccount account)
    {
        ArgumentNullException.ThrowIfNull(account);
        var pen = new HtmlPen();
        string title = Title(account);
        pen.Open("html", ("lang", "en")).Open("head").Void("meta", ("charset", "utf-8"));
        pen.Void("meta", ("name", "viewport"), ("content", "width=device-width, initial-scale=1"));
        pen.Void("meta", ("http-equiv", "Content-Security-Policy"), ("content", "default-src 'none'; style-src 'unsafe-inline'"));
        pen.Line("title", title).Style(PageStyle.Css).Close().Open("body").Line("h1", title);
        pen.Line("p", F($"{account.Reports} reports, the newest of {Time(account, account.AsOf)}; times are the crew's ({account.Zone}). What nobody measured is shown as –, never as zero."));
        pen.Line("p", $"State fingerprint {account.StateFingerprint}", ("class", "small"));
        EnergySection.Draw(pen, account);
        FootageSection.Draw(pen, account);
        Standing(pen, account);
        Changes(pen, account);
        pen.Line("p", "Lithium packs can burn. A pack that was charged under its limit may be damaged where nobody sees it: its maker's data sheet and licensed people decide whether it may be used, joined or flown.", ("class", "small"));
        pen.Close().Close();
        return "<!DOCTYPE html>\n" + pen;
    }

    internal static string Time(TripAccount account, Instant time) => Moment.Format(time.WithOffset(account.Zone).LocalDateTime);

    internal static string Hours(Duration span) => span.TotalHours >= 1 ? F($"{span.TotalHours:0.0} h") : F($"{span.TotalMinutes:0} min");

    private static string Title(TripAccount account)
    {
        string days = account.Scope.From == account.Scope.To ? Day.Format(account.Scope.From) : $"{Day.Format(account.Scope.From)} to {Day.Format(account.Scope.To)}";
        return account.Scope.Team is { } team ? $"{account.Trip}, {team}: {days}" : $"{account.Trip}: {days}";
    }

    private static void Standing(HtmlPen pen, TripAccount account)
    {
        pen.Line("h2", "Alerts and faults, and how long they stood");
        Spans(pen, account, "Alerts", "Alert", account.Alerts, "No alert was raised.");
        Spans(pen, account, "Faults of readers", "Reader", account.Faults, "No reader had a fault.");
        pen.Line("h3", "Silent agents");
        var table = new PageTable("Agent", "Team", "!Last heard", "!Heard again", ">Silent", "Allowed");
        foreach (StandingSpan span in account.Silences)
        {
            table.Row(span.Subject, span.By, Time(account, span.Since), span.Until is { } until ? Time(account, until) : "not again", Hours(span.Stood), span.Words);
        }

        table.Draw(pen, "No agent was silent for longer than the trip file allows.");
    }

    private static void Spans(HtmlPen pen, TripAccount account, string title, string what, IReadOnlyList<StandingSpan> spans, string nothing)
    {
        pen.Line("h3", title);
        var table = new PageTable(what, "About", "Said by", "!Since", "!Until", ">Stood", "Seen");
        foreach (StandingSpan span in spans)
        {
            table.Row(span.What, span.Subject, span.By, Time(account, span.Since), span.Until is { } until ? Time(account, until) : "stands", Hours(span.Stood), span.Words);
        }

        table.Draw(pen, nothing);
    }

    private static void Changes(HtmlPen pen, TripAccount account)
    {
        pen.Line("h2", "What to change next time");
        if (account.Changes.Count == 0)
        {
            pen.Line("p", "Nothing measured says that anything should change.");
            return;
        }

        pen.Open("ol");
        foreach (ChangeNext change in account.Changes)
        {
            pen.Open("li").Text($"{change.Subject}: {change.Change} (").Line("span", change.Number, ("class", "number")).Text(").").Close();
        }

        pen.Close();
    }

    private static string F(FormattableString text) => FormattableString.Invariant(text);
}
