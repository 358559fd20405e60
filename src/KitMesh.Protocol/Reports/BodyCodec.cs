using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Finds the codec of a kind. A new kind gets one line in each half.</summary>
internal static class BodyCodec
{
    public static void Write(ReportBody body, V1.Report message)
    {
        switch (body)
        {
            case BatteryReading it: message.BatteryReading = BatteryReadingCodec.Write(it); break;
            case TemperatureReading it: message.TemperatureReading = TemperatureReadingCodec.Write(it); break;
            case PanelReading it: message.PanelReading = PanelReadingCodec.Write(it); break;
            case LoadReading it: message.LoadReading = LoadReadingCodec.Write(it); break;
            case CardSeen it: message.CardSeen = CardSeenCodec.Write(it); break;
            case ClipFound it: message.ClipFound = ClipFoundCodec.Write(it); break;
            case CopyMade it: message.CopyMade = CopyMadeCodec.Write(it); break;
            case CopyVerified it: message.CopyVerified = CopyVerifiedCodec.Write(it); break;
            case CopyFailed it: message.CopyFailed = CopyFailedCodec.Write(it); break;
            case CardFormatted it: message.CardFormatted = CardFormattedCodec.Write(it); break;
            case DriveState it: message.DriveState = DriveStateCodec.Write(it); break;
            case KitDeclared it: message.KitDeclared = KitDeclaredCodec.Write(it); break;
            case Note it: message.Note = NoteCodec.Write(it); break;
            case ClockPair it: message.ClockPair = ClockPairCodec.Write(it); break;
            case AgentState it: message.AgentState = AgentStateCodec.Write(it); break;
            case ReaderFault it: message.ReaderFault = ReaderFaultCodec.Write(it); break;
            case AlertChanged it: message.AlertChanged = AlertChangedCodec.Write(it); break;
            case KitPlaced it: message.KitPlaced = KitPlacedCodec.Write(it); break;
            case CardReleased it: message.CardReleased = CardReleasedCodec.Write(it); break;
            case NodeEnrolled it: message.NodeEnrolled = NodeEnrolledCodec.Write(it); break;
            case NodeRevoked it: message.NodeRevoked = NodeRevokedCodec.Write(it); break;
            case DigestHeard it: message.DigestHeard = DigestHeardCodec.Write(it); break;
            case OriginSealed it: message.OriginSealed = OriginSealedCodec.Write(it); break;
            case TakenDirectly it: message.TakenDirectly = TakenDirectlyCodec.Write(it); break;
            case DayRolledUp it: message.DayRolledUp = DayRolledUpCodec.Write(it); break;
            default: throw new ArgumentException($"{body?.GetType().Name} cannot be written: it has no codec.", nameof(body));
        }
    }

    /// <summary>The body, or null with a fault in <paramref name="fields"/> or with no known kind at all.</summary>
    public static ReportBody? Read(V1.Report message, FieldReader fields) => message.BodyCase switch
    {
        V1.Report.BodyOneofCase.BatteryReading => BatteryReadingCodec.Read(message.BatteryReading, fields),
        V1.Report.BodyOneofCase.TemperatureReading => TemperatureReadingCodec.Read(message.TemperatureReading, fields),
        V1.Report.BodyOneofCase.PanelReading => PanelReadingCodec.Read(message.PanelReading, fields),
        V1.Report.BodyOneofCase.LoadReading => LoadReadingCodec.Read(message.LoadReading, fields),
        V1.Report.BodyOneofCase.CardSeen => CardSeenCodec.Read(message.CardSeen, fields),
        V1.Report.BodyOneofCase.ClipFound => ClipFoundCodec.Read(message.ClipFound, fields),
        V1.Report.BodyOneofCase.CopyMade => CopyMadeCodec.Read(message.CopyMade, fields),
        V1.Report.BodyOneofCase.CopyVerified => CopyVerifiedCodec.Read(message.CopyVerified, fields),
        V1.Report.BodyOneofCase.CopyFailed => CopyFailedCodec.Read(message.CopyFailed, fields),
        V1.Report.BodyOneofCase.CardFormatted => CardFormattedCodec.Read(message.CardFormatted, fields),
        V1.Report.BodyOneofCase.DriveState => DriveStateCodec.Read(message.DriveState, fields),
        V1.Report.BodyOneofCase.KitDeclared => KitDeclaredCodec.Read(message.KitDeclared, fields),
        V1.Report.BodyOneofCase.Note => NoteCodec.Read(message.Note, fields),
        V1.Report.BodyOneofCase.ClockPair => ClockPairCodec.Read(message.ClockPair, fields),
        V1.Report.BodyOneofCase.AgentState => AgentStateCodec.Read(message.AgentState, fields),
        V1.Report.BodyOneofCase.ReaderFault => ReaderFaultCodec.Read(message.ReaderFault, fields),
        V1.Report.BodyOneofCase.AlertChanged => AlertChangedCodec.Read(message.AlertChanged, fields),
        V1.Report.BodyOneofCase.KitPlaced => KitPlacedCodec.Read(message.KitPlaced, fields),
        V1.Report.BodyOneofCase.CardReleased => CardReleasedCodec.Read(message.CardReleased, fields),
        V1.Report.BodyOneofCase.NodeEnrolled => NodeEnrolledCodec.Read(message.NodeEnrolled, fields),
        V1.Report.BodyOneofCase.NodeRevoked => NodeRevokedCodec.Read(message.NodeRevoked, fields),
        V1.Report.BodyOneofCase.DigestHeard => DigestHeardCodec.Read(message.DigestHeard),
        V1.Report.BodyOneofCase.OriginSealed => OriginSealedCodec.Read(message.OriginSealed, fields),
        V1.Report.BodyOneofCase.TakenDirectly => TakenDirectlyCodec.Read(message.TakenDirectly, fields),
        V1.Report.BodyOneofCase.DayRolledUp => DayRolledUpCodec.Read(message.DayRolledUp, fields),
        _ => null,
    };
}
