using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;
using KitMesh.TestKit.Enrolment;
using NodaTime;

namespace KitMesh.Tests.Protocol.Certificates;

/// <summary>What a certificate is worth under a trip root.</summary>
public sealed class TripTrustTests : IDisposable
{
    private const string Subject = "CN=ridge-power, O=KitMesh trip test";
    private readonly TripMaker _trip = new();

    public void Dispose() => _trip.Dispose();

    [Theory]
    [InlineData(MeshRoles.None)]
    [InlineData(MeshRoles.Writer)]
    [InlineData(MeshRoles.Writer | MeshRoles.Reader)]
    [InlineData(MeshRoles.Keeper)]
    [InlineData(MeshRoles.Hub)]
    public void Judge_IssuedByTheRoot_NodeAndRoles(MeshRoles roles)
    {
        using X509Certificate2 node = _trip.Node("ridge-power", roles);

        var member = Assert.IsType<TrustVerdict.Member>(_trip.Trust.Judge(node));

        Assert.Equal(NodeId.Parse("ridge-power"), member.Node);
        Assert.Equal(roles, member.Roles);
        Assert.Null(member.Issuer);
    }

    [Fact]
    public void Judge_YearsBeforeOrAfterItsTime_IsStillAMember()
    {
        // By this machine's own clock: over for long, and not begun for decades.
        Instant before = Instant.FromUtc(2025, 2, 1, 0, 0);
        Instant far = Instant.FromUtc(2070, 2, 1, 0, 0);
        using var old = new TripMaker(now: before);
        using var young = new TripMaker(now: far);
        using X509Certificate2 past = old.Node("ridge-power", MeshRoles.Writer, now: before);
        using X509Certificate2 future = young.Node("ridge-power", MeshRoles.Writer, now: far);

        Assert.IsType<TrustVerdict.Member>(old.Trust.Judge(past));
        Assert.IsType<TrustVerdict.Member>(young.Trust.Judge(future));
    }

    [Theory]
    [InlineData(1970)]
    [InlineData(2026)]
    [InlineData(2060)]
    public void Node_MadeByAHubWithAWrongClock_LiesInsideItsIssuer(int year)
    {
        using X509Certificate2 node = _trip.Node("ridge-power", MeshRoles.Writer, now: Instant.FromUtc(year, 1, 1, 0, 0));

        Assert.True(node.NotBefore >= _trip.Root.NotBefore && node.NotAfter <= _trip.Root.NotAfter && node.NotBefore < node.NotAfter);
    }

    [Fact]
    public void Judge_OfAnotherTrip_IsForeign()
    {
        using var other = new TripMaker();
        using X509Certificate2 node = other.Node("ridge-power", MeshRoles.Writer);

        Assert.IsType<TrustVerdict.Foreign>(_trip.Trust.Judge(node));
        Assert.IsType<TrustVerdict.Foreign>(_trip.Trust.Judge(node, [other.Root]));
        Assert.IsType<TrustVerdict.Foreign>(_trip.Trust.Judge(other.Root));
    }

    [Fact]
    public void Judge_TheRootItself_IsNoNode() => Assert.IsType<TrustVerdict.Foreign>(_trip.Trust.Judge(_trip.Root));

    [Theory]
    [InlineData("hide-recorder", MeshRoles.Writer, true)]
    [InlineData("hide-recorder", MeshRoles.Writer | MeshRoles.Reader, true)]
    [InlineData("hide-recorder", MeshRoles.Keeper, false)]
    [InlineData("hide-recorder", MeshRoles.Hub, false)]
    [InlineData("ridge-hub", MeshRoles.Hub, true)]
    [InlineData("ridge-hub", MeshRoles.Keeper, false)]
    public void Judge_IssuedByAFurtherHub_WritersReadersAndItselfOnly(string node, MeshRoles roles, bool isMember)
    {
        using ECDsa key = TripMaker.NewKey();
        using X509Certificate2 issuer = _trip.Issuer("ridge-hub", key);
        using X509Certificate2 certificate = _trip.Node(issuer, key, node, roles);

        TrustVerdict verdict = _trip.Trust.Judge(certificate, [issuer]);

        Assert.Equal(isMember, verdict is TrustVerdict.Member { Issuer: not null });
        Assert.IsType<TrustVerdict.Foreign>(_trip.Trust.Judge(certificate));
    }

    [Fact]
    public void Judge_IssuerUnderAnIssuer_IsPastThePathLength()
    {
        using ECDsa key = TripMaker.NewKey();
        using ECDsa second = TripMaker.NewKey();
        using X509Certificate2 issuer = _trip.Issuer("ridge-hub", key);
        using X509Certificate2 deeper = CertificateMaker.Issuer(
            issuer, key, NodeId.Parse("ridge-hub"), new PublicKey(second), new CertificateSpan(issuer.NotBefore, issuer.NotAfter), _trip.Serial());
        using X509Certificate2 node = _trip.Node(deeper, second, "hide-recorder", MeshRoles.Writer);

        Assert.IsType<TrustVerdict.Foreign>(_trip.Trust.Judge(node, [issuer, deeper]));
    }

    [Fact]
    public void Judge_IssuedByADevice_IsForeign()
    {
        using ECDsa key = TripMaker.NewKey();
        using X509Certificate2 device = _trip.Node("ridge-power", MeshRoles.Hub, key);
        using X509Certificate2 forged = _trip.Node(device, key, "base-camp", MeshRoles.Writer);

        Assert.IsType<TrustVerdict.Foreign>(_trip.Trust.Judge(forged, [device]));
    }

    [Theory]
    [InlineData("bank.example.com", null)]
    [InlineData("ridge-power.kitmesh.internal.example.com", null)]
    [InlineData("ridge-power.kitmesh.internal", "203.0.113.7")]
    [InlineData("ridge-power.kitmesh.internal", "2001:db8::1")]
    public void Judge_NameOutsideTheConstraints_IsForeign(string dns, string? address)
    {
        using X509Certificate2 odd = _trip.Odd(Subject, request =>
        {
            var names = new SubjectAlternativeNameBuilder();
            names.AddDnsName("ridge-power.kitmesh.internal");
            names.AddDnsName(dns);
            if (address is not null)
            {
                names.AddIpAddress(IPAddress.Parse(address));
            }

            request.CertificateExtensions.Add(names.Build());
        });

        Assert.IsType<TrustVerdict.Foreign>(_trip.Trust.Judge(odd));
    }

    [Theory]
    [InlineData("CN=ridge-power, O=Somebody else")]
    [InlineData("CN=base-camp, O=KitMesh trip test")]
    [InlineData("CN=Not A Node, O=KitMesh trip test")]
    [InlineData("O=KitMesh trip test")]
    [InlineData("CN=ridge-power, OID.2.5.4.72=emperor, O=KitMesh trip test")]
    public void Judge_SubjectThatDoesNotFit_IsForeign(string subject)
    {
        using X509Certificate2 odd = _trip.Odd(subject, request =>
        {
            var names = new SubjectAlternativeNameBuilder();
            names.AddDnsName("ridge-power.kitmesh.internal");
            request.CertificateExtensions.Add(names.Build());
        });

        Assert.IsType<TrustVerdict.Foreign>(_trip.Trust.Judge(odd));
    }

    [Fact]
    public void Judge_OtherKeys_AreForeign()
    {
        using RSA rsa = RSA.Create(2_048);
        using ECDsa p384 = ECDsa.Create(ECCurve.NamedCurves.nistP384);
        void Names(CertificateRequest request)
        {
            var names = new SubjectAlternativeNameBuilder();
            names.AddDnsName("ridge-power.kitmesh.internal");
            request.CertificateExtensions.Add(names.Build());
        }

        using X509Certificate2 one = _trip.Odd(Subject, Names, new PublicKey(rsa));
        using X509Certificate2 other = _trip.Odd(Subject, Names, new PublicKey(p384));
        using X509Certificate2 good = _trip.Odd(Subject, Names);

        Assert.IsType<TrustVerdict.Foreign>(_trip.Trust.Judge(one));
        Assert.IsType<TrustVerdict.Foreign>(_trip.Trust.Judge(other));
        Assert.IsType<TrustVerdict.Member>(_trip.Trust.Judge(good));
    }

    [Fact]
    public void Judge_CurveThatThePlatformDoesNotKnow_IsForeignAndNoFault()
    {
        // Found by changing bytes: .NET throws PlatformNotSupportedException at such a key, which stopped a hub's merging.
        using X509Certificate2 good = _trip.Node("ridge-power", MeshRoles.Writer);
        byte[] bytes = good.RawData;
        ReadOnlySpan<byte> curve = [0x2A, 0x86, 0x48, 0xCE, 0x3D, 0x03, 0x01, 0x07];
        bytes[bytes.AsSpan().IndexOf(curve) + curve.Length - 1] = 0x3D;
        using X509Certificate2 odd = X509CertificateLoader.LoadCertificate(bytes);

        Assert.IsType<TrustVerdict.Foreign>(_trip.Trust.Judge(odd));
    }

    [Fact]
    public void Trust_InWhatIsNoTripRoot_Throws()
    {
        using X509Certificate2 node = _trip.Node("ridge-power", MeshRoles.Writer);

        Assert.Throws<CryptographicException>(() => new TripTrust(node));
    }

    [Theory]
    [InlineData("2027-02-14", false)]
    [InlineData("2026-12-17", false)]
    [InlineData("2026-12-15", true)]
    [InlineData("2027-09-11", false)]
    [InlineData("2027-09-14", true)]
    [InlineData("1970-01-01", false)]
    [InlineData("2099-01-01", false)]
    public void Time_ByAClockThatCanBeBelieved_IsJudgedWithGrace(string day, bool isOutside)
    {
        CertificateSpan span = CertificateTime.From(TripMaker.Now, Duration.FromDays(180));
        Instant now = NodaTime.Text.LocalDatePattern.Iso.Parse(day).Value.AtMidnight().InUtc().ToInstant();

        Assert.Equal(isOutside, CertificateTime.IsOutside(span, now));
    }

    [Fact]
    public void Time_AThirdLeft_IsDue()
    {
        CertificateSpan span = CertificateTime.From(TripMaker.Now, Duration.FromDays(180));

        Assert.False(CertificateTime.IsDue(span, TripMaker.Now + Duration.FromDays(109)));
        Assert.True(CertificateTime.IsDue(span, TripMaker.Now + Duration.FromDays(111)));
        Assert.False(CertificateTime.IsDue(span, Instant.FromUtc(1970, 1, 1, 0, 0)));
    }
}
