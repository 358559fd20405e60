using System.Globalization;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;
using NodaTime;

namespace KitMesh.Hub.SelfTest;

/// <summary>Whether root, issuer and keys are there, private, fit together, and hold past the trip. No key is shown.</summary>
internal static class IdentityCheck
{
    private const string Check = "identity";
    private static readonly Duration Soon = Duration.FromDays(60);

    /// <summary>One line for each certificate that this hub depends on.</summary>
    public static IReadOnlyList<CheckLine> Look(HubOptions options, Instant now)
    {
        if (!options.AsksWho)
        {
            return [CheckLine.Right(Check, "At an http address nobody is asked who they are; only this machine is answered.")];
        }

        var folder = new HubIdentityFolder(options.DataFolder);
        if (!folder.HasRoot)
        {
            return [CheckLine.Look(Check, "There is no trip root yet; the first start makes one.", "If this is a further hub of a trip, enrol it first (kitmesh enrol --data). If it is the first one, make a spare copy of the root after the start (kitmesh enrol spare).")];
        }

        try
        {
            using ECDsa? ownKey = folder.ReadNodeKey();
            using X509Certificate2 root = folder.ReadRoot();
            CheckLine first = Span("trip root", root, now);
            if (folder.HoldsRootKey)
            {
                using ECDsa key = folder.ReadRootKey();
                return [first, Fit("trip root", root, key)];
            }

            using X509Certificate2 issuer = folder.ReadIssuer();
            using ECDsa issuerKey = folder.ReadIssuerKey();
            return [first, Span("issuer", issuer, now), Named(options, root, issuer), Fit("issuer", issuer, issuerKey)];
        }
        catch (HubStartException unusable)
        {
            return [CheckLine.Wrong(Check, unusable.Message, "The hub does not start before this is mended.")];
        }
    }

    private static CheckLine Span(string what, X509Certificate2 certificate, Instant now)
    {
        Instant from = Instant.FromDateTimeUtc(certificate.NotBefore.ToUniversalTime());
        Instant until = Instant.FromDateTimeUtc(certificate.NotAfter.ToUniversalTime());
        string words = string.Create(CultureInfo.InvariantCulture, $"The certificate holds from {from:yyyy-MM-dd} to {until:yyyy-MM-dd}");
        if (!CertificateTime.IsBelieved(now))
        {
            return CheckLine.Right(what, $"{words}; by this clock nothing is expired.");
        }

        if (CertificateTime.IsOutside(new CertificateSpan(from.ToDateTimeOffset(), until.ToDateTimeOffset()), now))
        {
            return CheckLine.Wrong(what, $"{words}, and the 30 days of grace are over.", "If the clock is right, set the trip up anew and enrol every device again.");
        }

        int days = (int)Math.Floor((until - now).TotalDays);
        return until - now < Soon
            ? CheckLine.Look(what, string.Create(CultureInfo.InvariantCulture, $"{words}: {Math.Max(0, days)} days are left."), "A root or issuer is not renewed. For a trip that lasts longer, set the trip up anew before leaving.")
            : CheckLine.Right(what, string.Create(CultureInfo.InvariantCulture, $"{words}: {days} days are left."));
    }

    private static CheckLine Named(HubOptions options, X509Certificate2 root, X509Certificate2 issuer) => new TripTrust(root).Judge(issuer) switch
    {
        TrustVerdict.Member member when member.Node != options.Node => CheckLine.Wrong(Check, $"This folder was enrolled as {member.Node}, not {options.Node}.", $"Start the hub with --node {member.Node}."),
        TrustVerdict.Member member => CheckLine.Right(Check, $"This folder was enrolled as {member.Node}."),
        _ => CheckLine.Wrong(Check, "The issuer was not made by the trip root beside it.", "Put the right files back, or enrol this hub again into an empty folder."),
    };

    private static CheckLine Fit(string what, X509Certificate2 certificate, ECDsa key)
    {
        bool fits = certificate.PublicKey.ExportSubjectPublicKeyInfo().AsSpan().SequenceEqual(key.ExportSubjectPublicKeyInfo());
        return fits
            ? CheckLine.Right($"{what} key", "The key belongs to the certificate and only this user can read it.")
            : CheckLine.Wrong($"{what} key", "The key does not belong to the certificate.", "Put the right files back, or restore the root from its spare copy (kitmesh enrol restore).");
    }
}
