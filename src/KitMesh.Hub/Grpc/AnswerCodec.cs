using Google.Protobuf.WellKnownTypes;
using KitMesh.Domain.Results;
using NodaTime;
using Duration = NodaTime.Duration;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Hub.Grpc;

/// <summary>Results to the wire.</summary>
internal static class AnswerCodec
{
    public static Timestamp Write(Instant instant)
    {
        Duration since = instant - NodaConstants.UnixEpoch;
        long seconds = (long)Math.Floor(since.TotalSeconds);
        return new Timestamp { Seconds = seconds, Nanos = (int)(since - Duration.FromSeconds(seconds)).ToInt64Nanoseconds() };
    }

    public static Instant Read(Timestamp timestamp) => Instant.FromUnixTimeSeconds(timestamp.Seconds) + Duration.FromNanoseconds(timestamp.Nanos);

    public static V1.Chance Write(ChanceRange chance) => new()
    {
        Low = chance.Low.Value,
        Best = chance.Best.Value,
        High = chance.High.Value,
        Assuming = chance.Assuming,
    };

    public static V1.BankAnswer Write(BankOutlook bank)
    {
        var answer = new V1.BankAnswer
        {
            Bank = bank.Bank.Value,
            Team = bank.Team.Value,
            Charge = bank.Charge.Best.Value,
            ChargeFrom = bank.Charge.From,
            ShortByLastDay = Write(bank.ShortByLastDay),
            AutonomyHours = bank.Autonomy.P50.TotalHours,
            SpendableWattHours = bank.SpendableNow.Value,
            PanelOutDay = bank.PanelOutDay is { } day ? DateText.Of(day) : "",
            Readiness = ReadinessName(bank.Readiness.State),
            ReadinessWords = bank.Readiness.Words,
        };
        answer.Days.AddRange(bank.Days.Select(Write));
        answer.Cautions.AddRange(bank.Cautions);
        return answer;
    }

    public static V1.ChargingLine Write(ChargingStep step) => new()
    {
        Outlet = step.Outlet?.Value ?? "",
        Load = step.Load.Value,
        From = Write(step.From),
        Until = Write(step.Until),
        WattHours = step.FromBank.Value,
        Words = step.Words,
    };

    public static V1.DriveAnswer Write(DriveFill drive) => new()
    {
        Drive = drive.Drive.Value,
        FreeBytes = (long)drive.Free.Value,
        FillsOn = drive.Likely is { } day ? DateText.Of(day) : "",
        FillsChance = drive.FullByLastDay.Value,
    };

    public static V1.CardAnswer Write(CardRow card)
    {
        var answer = new V1.CardAnswer
        {
            Card = card.Card.Value,
            Source = card.Source?.Value ?? "",
            Verdict = card.State switch
            {
                CardState.OnHold => V1.CardVerdict.OnHold,
                CardState.MayBeFormatted => V1.CardVerdict.MayBeFormatted,
                CardState.Formatted => V1.CardVerdict.Formatted,
                CardState.FormattedShort => V1.CardVerdict.FormattedShort,
                CardState.NotSeen => V1.CardVerdict.NotSeen,
                _ => throw new InvalidOperationException($"Unknown card state {card.State}."),
            },
            Clips = (uint)card.Clips,
            Bytes = (long)card.Size.Value,
            Reason = card.Reason,
            ClipsMet = (uint)card.ClipsMet,
        };
        if (card.HoldSince is { } since)
        {
            answer.HoldSince = Write(since);
        }

        return answer;
    }

    public static V1.AdviceLine Write(Advice advice, int rank)
    {
        var line = new V1.AdviceLine
        {
            Rank = (uint)rank,
            Category = advice.Category.ToString().ToUpperInvariant(),
            Subject = advice.Subject?.Value ?? "",
            What = advice.What,
            Reason = advice.Reason,
            Gain = advice.Gain ?? "",
            Weight = advice.Weight,
        };
        if (advice.Deadline is { } deadline)
        {
            line.Deadline = Write(deadline);
        }

        return line;
    }

    public static V1.AlertLine Write(Alert alert, string raisedBy = "") => new()
    {
        Rule = alert.Rule,
        Subject = alert.Subject.Value,
        Weight = (V1.AlertWeight)((int)alert.Weight + 1),
        Since = Write(alert.Since),
        What = alert.What,
        Do = alert.Do,
        RaisedBy = raisedBy,
    };

    private static V1.BankDay Write(OutlookDay day) => new()
    {
        Day = DateText.Of(day.Day),
        ShortByThen = Write(day.ShortByThen),
        LowestChargeP10 = day.Lowest.P10.Value,
        LowestChargeP50 = day.Lowest.P50.Value,
        LowestChargeP90 = day.Lowest.P90.Value,
        HarvestWattHours = day.Harvest.P50.Value,
        LoadsWattHours = day.Loads.P50.Value,
        HeaterWattHours = day.Heater.P50.Value,
    };

    private static string ReadinessName(ChargeReadinessState state) => state switch
    {
        ChargeReadinessState.NoTemperature => "NO_TEMPERATURE",
        ChargeReadinessState.WarmFirst => "WARM_FIRST",
        ChargeReadinessState.SlowOnly => "SLOW_ONLY",
        ChargeReadinessState.Ready => "READY",
        ChargeReadinessState.TooHot => "TOO_HOT",
        _ => throw new InvalidOperationException($"Unknown readiness {state}."),
    };
}
