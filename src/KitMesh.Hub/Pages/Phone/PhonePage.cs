using System.Security.Cryptography;
using System.Text;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Json;
using KitMesh.Hub.Views;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace KitMesh.Hub.Pages.Phone;

/// <summary>The phone page: files that a browser keeps and runs without the hub, and the names and figures it takes along.</summary>
internal static class PhonePage
{
    /// <summary>Days of the outlook that "the usual" of the phone's coarse answer is averaged over.</summary>
    private const int DaysAhead = 5;

    private static readonly (string Path, string Name, string Type)[] Files =
    [
        ("/phone", "phone.html", "text/html; charset=utf-8"),
        ("/phone/phone.js", "phone.js", "text/javascript; charset=utf-8"),
        ("/phone/journal.js", "journal.js", "text/javascript; charset=utf-8"),
        ("/phone/link.js", "link.js", "text/javascript; charset=utf-8"),
        ("/phone/entries.js", "entries.js", "text/javascript; charset=utf-8"),
        ("/phone/coarse.js", "coarse.js", "text/javascript; charset=utf-8"),
        ("/phone/icon.svg", "icon.svg", "image/svg+xml"),
        ("/phone/manifest.webmanifest", "manifest.webmanifest", "application/manifest+json"),
    ];

    /// <summary>Maps the page.</summary>
    public static void Map(IEndpointRouteBuilder routes)
    {
        using var version = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        version.AppendData(PageFile.Read("kitmesh.css"));
        foreach ((string path, string name, string type) in Files)
        {
            byte[] content = PageFile.Read("Phone." + name);
            version.AppendData(content);
            routes.MapGet(path, PageAsset.From(content, type).Answer);
        }

        byte[] worker = [.. Encoding.UTF8.GetBytes($"const version = \"{Convert.ToHexStringLower(version.GetCurrentHash())}\";\n"), .. PageFile.Read("Phone.worker.js")];
        routes.MapGet("/phone-worker.js", () => Results.Bytes(worker, "text/javascript; charset=utf-8"));
        routes.MapGet("/phone/trip.json", async (TripView trip, HttpContext context) =>
            Results.Json(await TakeAlongAsync(trip, context.Features.Get<Caller>(), context.RequestAborted).ConfigureAwait(false), ResultJson.Options));
    }

    private static async Task<object> TakeAlongAsync(TripView trip, Caller? caller, CancellationToken cancellation)
    {
        TripState state = trip.Merged.State;
        TripAnswers answers = await trip.OutlooksAsync(cancellation).ConfigureAwait(false);
        return new
        {
            Trip = state.KitOf<Trip>().FirstOrDefault()?.Id.Value ?? "No trip declared",
            AsOf = trip.Now,

            // Where devices must join, a browser writes under the name that it joined with and no other.
            Node = caller?.Node.Value,
            Banks = (answers.Energy?.Banks ?? []).Select(TakeAlong).ToArray(),
            Items = new
            {
                Banks = Names<Bank>(state),
                Packs = Names<Pack>(state),
                Loads = Names<Load>(state),
                Panels = Names<Panel>(state),
                Cards = Names<Card>(state),
                Drives = Names<Drive>(state),
                Cases = Names<Case>(state),
                Sources = Names<FootageSource>(state),
                Teams = Names<Team>(state),
                People = Names<Person>(state),
                Places = Names<Place>(state),
            },
        };
    }

    private static object TakeAlong(BankOutlook bank)
    {
        OutlookDay[] days = [.. bank.Days.Skip(1).Take(DaysAhead)];
        return new
        {
            Name = bank.Bank.Value,
            SpendableWh = bank.SpendableNow.Value,
            LoadsWh = Mean(days, day => day.Loads),
            HeaterWh = Mean(days, day => day.Heater),
            SunWh = Mean(days, day => day.Harvest),
        };
    }

    private static double Mean(OutlookDay[] days, Func<OutlookDay, EnergySpread> of) => days.Length == 0 ? 0 : days.Average(day => of(day).P50.Value);

    private static string[] Names<T>(TripState state)
        where T : KitItem => [.. state.KitOf<T>().Select(item => item.Id.Value)];
}
