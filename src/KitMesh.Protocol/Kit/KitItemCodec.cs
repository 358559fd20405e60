using System.Globalization;
using Google.Protobuf;
using KitMesh.Domain.Kit;

namespace KitMesh.Protocol.Kit;

/// <summary>A declared item to and from the wire.</summary>
public static class KitItemCodec
{
    /// <summary>To the wire.</summary>
    /// <param name="item">The item.</param>
    public static V1.KitItem Write(KitItem item) => item switch
    {
        Trip trip => new V1.KitItem { Trip = TripCodec.Write(trip) },
        Place place => new V1.KitItem { Place = PlaceCodec.Write(place) },
        Team team => new V1.KitItem { Team = TeamCodec.Write(team) },
        Person person => new V1.KitItem { Person = PersonCodec.Write(person) },
        CalendarDay day => new V1.KitItem { CalendarDay = CalendarDayCodec.Write(day) },
        Bank bank => new V1.KitItem { Bank = BankCodec.Write(bank) },
        Pack pack => new V1.KitItem { Pack = PackCodec.Write(pack) },
        Box box => new V1.KitItem { Box = BoxCodec.Write(box) },
        Panel panel => new V1.KitItem { Panel = PanelCodec.Write(panel) },
        Load load => new V1.KitItem { Load = LoadCodec.Write(load) },
        Outlet outlet => new V1.KitItem { Outlet = OutletCodec.Write(outlet) },
        FootageSource source => new V1.KitItem { FootageSource = FootageSourceCodec.Write(source) },
        Card card => new V1.KitItem { Card = CardCodec.Write(card) },
        Drive drive => new V1.KitItem { Drive = DriveCodec.Write(drive) },
        Case theCase => new V1.KitItem { Case = CaseCodec.Write(theCase) },
        CopyRule rule => new V1.KitItem { CopyRule = CopyRuleCodec.Write(rule) },
        WatchedAgent agent => new V1.KitItem { WatchedAgent = WatchedAgentCodec.Write(agent) },
        LossFigure figure => new V1.KitItem { LossFigure = LossFigureCodec.Write(figure) },
        WeatherLine line => new V1.KitItem { WeatherLine = WeatherLineCodec.Write(line) },
        PanelHabit habit => new V1.KitItem { PanelHabit = PanelHabitCodec.Write(habit) },
        SharedDanger danger => new V1.KitItem { SharedDanger = SharedDangerCodec.Write(danger) },
        _ => throw new ArgumentException($"{item?.GetType().Name} has no codec.", nameof(item)),
    };

    /// <summary>From the wire.</summary>
    /// <param name="message">The item.</param>
    /// <param name="fault">What is wrong with it, in words, when there is no item.</param>
    /// <returns>The item, or null when it cannot be read.</returns>
    public static KitItem? Read(V1.KitItem message, out string? fault)
    {
        ArgumentNullException.ThrowIfNull(message);
        var fields = new FieldReader();
        KitItem? item = Read(message, fields);
        fault = fields.Fault;
        return fault is null ? item : null;
    }

    internal static KitItem? Read(V1.KitItem? message, FieldReader fields)
    {
        switch (message?.ItemCase)
        {
            case V1.KitItem.ItemOneofCase.Trip: return TripCodec.Read(message.Trip, fields);
            case V1.KitItem.ItemOneofCase.Place: return PlaceCodec.Read(message.Place, fields);
            case V1.KitItem.ItemOneofCase.Team: return TeamCodec.Read(message.Team, fields);
            case V1.KitItem.ItemOneofCase.Person: return PersonCodec.Read(message.Person, fields);
            case V1.KitItem.ItemOneofCase.CalendarDay: return CalendarDayCodec.Read(message.CalendarDay, fields);
            case V1.KitItem.ItemOneofCase.Bank: return BankCodec.Read(message.Bank, fields);
            case V1.KitItem.ItemOneofCase.Pack: return PackCodec.Read(message.Pack, fields);
            case V1.KitItem.ItemOneofCase.Box: return BoxCodec.Read(message.Box, fields);
            case V1.KitItem.ItemOneofCase.Panel: return PanelCodec.Read(message.Panel, fields);
            case V1.KitItem.ItemOneofCase.Load: return LoadCodec.Read(message.Load, fields);
            case V1.KitItem.ItemOneofCase.Outlet: return OutletCodec.Read(message.Outlet, fields);
            case V1.KitItem.ItemOneofCase.FootageSource: return FootageSourceCodec.Read(message.FootageSource, fields);
            case V1.KitItem.ItemOneofCase.Card: return CardCodec.Read(message.Card, fields);
            case V1.KitItem.ItemOneofCase.Drive: return DriveCodec.Read(message.Drive, fields);
            case V1.KitItem.ItemOneofCase.Case: return CaseCodec.Read(message.Case, fields);
            case V1.KitItem.ItemOneofCase.CopyRule: return CopyRuleCodec.Read(message.CopyRule, fields);
            case V1.KitItem.ItemOneofCase.WatchedAgent: return WatchedAgentCodec.Read(message.WatchedAgent, fields);
            case V1.KitItem.ItemOneofCase.LossFigure: return LossFigureCodec.Read(message.LossFigure, fields);
            case V1.KitItem.ItemOneofCase.SharedDanger: return SharedDangerCodec.Read(message.SharedDanger, fields);
            case V1.KitItem.ItemOneofCase.WeatherLine: return WeatherLineCodec.Read(message.WeatherLine, fields);
            case V1.KitItem.ItemOneofCase.PanelHabit: return PanelHabitCodec.Read(message.PanelHabit, fields);
            default:
                fields.Blame(DescribeUnknown(message));
                return null;
        }
    }

    private static string DescribeUnknown(V1.KitItem? message)
    {
        if (message is null)
        {
            return "the declared item is missing";
        }

        int? number = BodyNumber.Find(message.ToByteArray());
        return number is { } kind
            ? string.Create(CultureInfo.InvariantCulture, $"kit kind {kind}, which this version does not know")
            : "the declared item is empty";
    }
}
