using System.Globalization;
using KitMesh.Domain.Kit;
using KitMesh.TripFile;
using NodaTime;

namespace KitMesh.Hub.SelfTest;

/// <summary>Whether the trip file can be read, and whether its days are near.</summary>
internal static class TripCheck
{
    private const string Check = HubSelfTest.TripFile;

    /// <summary>Reads it as a start would.</summary>
    public static CheckLine Look(string? file, Instant now)
    {
        if (file is null)
        {
            return CheckLine.Right(Check, "None is named; the kit is declared elsewhere.");
        }

        string text;
        try
        {
            text = File.ReadAllText(file);
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return CheckLine.Wrong(Check, $"{file} cannot be read: {failure.Message}", "Check the path and its owner.");
        }

        switch (TripFileReader.Read(file, text))
        {
            case TripRefused refused:
                TripProblem first = refused.Problems.First(problem => !problem.IsQuestion);
                int mistakes = refused.Problems.Count(problem => !problem.IsQuestion);
                return CheckLine.Wrong(Check, string.Create(CultureInfo.InvariantCulture, $"{file} has {mistakes} {(mistakes == 1 ? "mistake" : "mistakes")}. {first}"), "Mend the file; nothing of it is used before.");
            case TripRead read when read.Questions.Any():
                return CheckLine.Look(Check, string.Create(CultureInfo.InvariantCulture, $"{file} is used as written, with {read.Questions.Count()} to look at again. {read.Questions.First()}"), "Look again.");
            case TripRead read:
                return Days(file, read.Items.OfType<Trip>().FirstOrDefault(), now);
            default:
                throw new InvalidOperationException("A trip file is read or refused.");
        }
    }

    private static CheckLine Days(string file, Trip? trip, Instant now)
    {
        if (trip is null)
        {
            return CheckLine.Right(Check, $"{file} is sound.");
        }

        LocalDate today = now.WithOffset(trip.ZoneOffset).Date;
        string words = string.Create(CultureInfo.InvariantCulture, $"{file} is sound; the trip lasts from {trip.FirstDay:yyyy-MM-dd} to {trip.LastDay:yyyy-MM-dd}.");
        return today > trip.LastDay
            ? CheckLine.Look(Check, $"{words} It is over by this clock.", "Check the dates in the file and the clock.")
            : CheckLine.Right(Check, words);
    }
}
